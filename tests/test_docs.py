"""The docs say what is there: generated pages, keys, commands, findings, examples, links."""

from __future__ import annotations

import ast
import os
import re
import shlex
import shutil
import subprocess
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import loftline
from loftline.cli import main
from loftline.cli.command_table import COMMANDS
from loftline.cli.commands import demo_text
from loftline.cli.screen import SEVERITY_WORDS
from loftline.cli.words import FORMATS
from loftline.panel.shapes import make_shape
from loftline.project import TEMPLATE_SHAPES, json_schema, template
from make_docs import PAGES
from support_guide import Block, guide_blocks, guide_files, whole_project

ROOT = Path(__file__).parent.parent
DOCS = ROOT / "docs"
EXAMPLES = sorted((DOCS / "examples").glob("*.toml"))
PAGES_BY_HAND = sorted(
    path for path in [*ROOT.glob("*.md"), *DOCS.rglob("*.md")] if path.name not in PAGES
)


def blocks(path: Path, language: str) -> list[str]:
    """Fenced blocks of one language in a page."""
    text = path.read_text(encoding="utf-8")
    return re.findall(rf"^```{language}\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)


def finding_codes() -> dict[str, str]:
    """Every code that the source can answer with, and its severity where it is plain."""
    found: dict[str, str] = {}
    for path in sorted((ROOT / "src").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding"):
                continue
            values = {word.arg: word.value for word in node.keywords}
            codes, severities = words_of(values["code"]), words_of(values["severity"])
            assert codes, f"{path}: a finding's code is written out"
            found |= dict.fromkeys(codes, "")
            if len(severities) in {1, len(codes)}:
                found |= zip(codes, severities * len(codes), strict=False)
    return found


def words_of(node: ast.expr) -> list[str]:
    """The words an expression may be: one that is written out, or either of two."""
    if isinstance(node, ast.IfExp):
        return words_of(node.body) + words_of(node.orelse)
    return [node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []


def schema_keys(schema: object) -> Iterator[str]:
    """Names of all keys in a JSON Schema."""
    if isinstance(schema, dict):
        properties = schema.get("properties")
        if isinstance(properties, dict):
            yield from properties
        for value in schema.values():
            yield from schema_keys(value)
    elif isinstance(schema, list):
        for value in schema:
            yield from schema_keys(value)


@pytest.mark.parametrize("name", PAGES)
def test_generated_pages_are_up_to_date(name: str) -> None:
    found = (DOCS / name).read_text(encoding="utf-8")
    assert found == PAGES[name](), "run: python -m tests.make_docs"


def test_every_key_of_the_project_file_is_explained() -> None:
    page = (DOCS / "project-file.md").read_text(encoding="utf-8")
    keys = set(schema_keys(json_schema()))
    assert {"format", "panel", "fills", "clearance", "stitch_length"} <= keys
    assert [key for key in sorted(keys) if f"`{key}`" not in page] == []


def test_every_command_and_option_is_explained() -> None:
    page = (DOCS / "commands.md").read_text(encoding="utf-8")
    for command in COMMANDS:
        assert f"## loftline {command.name}\n" in page
        for argument in command.arguments:
            if argument.words[0].startswith("-"):
                assert f"`{argument.words[0]}" in page


def test_every_finding_is_explained_and_no_other() -> None:
    page = (DOCS / "findings.md").read_text(encoding="utf-8")
    explained = dict(re.findall(r"^\| `([a-z-]+)` \| ([a-z ]+) \|", page, re.MULTILINE))
    codes = finding_codes()
    assert sorted(explained) == sorted(codes)
    for code, severity in codes.items():
        if severity:
            assert explained[code] == SEVERITY_WORDS[severity], code  # type: ignore[index]


def test_every_format_is_explained() -> None:
    page = (DOCS / "formats.md").read_text(encoding="utf-8")
    assert [name for name in FORMATS if not re.search(rf"\b{name}\b", page)] == []


def test_every_decision_is_listed() -> None:
    page = (DOCS / "decisions" / "README.md").read_text(encoding="utf-8")
    pages = sorted(path.name for path in (DOCS / "decisions").glob("0*.md"))
    assert re.findall(r"\((0.*\.md)\)", page) == pages


@pytest.mark.parametrize("path", PAGES_BY_HAND, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_links_lead_somewhere(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for target, heading in re.findall(r"\]\((?!https?:)([^)#]*)(?:#([^)]*))?\)", text):
        page = (path.parent / target) if target else path
        assert page.exists(), target
        if heading:
            assert heading in anchors(page), f"{target}#{heading}"


def anchors(path: Path) -> list[str]:
    """Names of a page's headings as links call them: small letters, hyphens for spaces."""
    headings = re.findall(r"(?m)^#+ (.*)$", path.read_text(encoding="utf-8"))
    return [re.sub(r"[^a-z0-9 -]", "", title.lower()).replace(" ", "-") for title in headings]


def test_the_built_in_pouch_is_the_example() -> None:
    assert (DOCS / "examples" / "spoke-pouch.toml").read_text(encoding="utf-8") == demo_text()


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples_are_read(path: Path) -> None:
    assert loftline.read_project(path).slug == path.stem


def test_there_are_enough_examples() -> None:
    assert len(EXAMPLES) >= 6


def test_the_readme_s_project_file_is_one() -> None:
    (text,) = blocks(ROOT / "README.md", "toml")
    assert loftline.make_plan(loftline.parse_project(tomllib.loads(text))).clean


@pytest.mark.parametrize(
    "block",
    [b for b in guide_blocks() if b.language == "toml" and "wrong" not in b.remarks],
    ids=lambda block: block.where,
)
def test_every_table_in_the_guide_can_be_planned(block: Block) -> None:
    files = {path.name: path.read_bytes() for path in (DOCS / "examples").glob("*.svg")}
    for _, one in loftline.parse_project(whole_project(block), files=files).sized():
        plan = loftline.make_plan(one)
        assert [finding for finding in plan.findings if finding.severity == "error"] == []


def test_every_command_in_the_guide_says_what_is_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    for name, text in guide_files().items():
        Path(name).write_text(text, encoding="utf-8")
    said: list[str] = []
    for block in guide_blocks():
        if block.language == "sh" and "setting up" not in block.remarks:
            for line in block.text.splitlines():
                program, *words = shlex.split(line)
                assert (program, main(words)) == ("loftline", int(block.remarks.get("exit", 0)))
            told = capsys.readouterr()
            said = [*told.out.splitlines(), *told.err.splitlines()]
        elif block.language == "text":
            for shown in block.text.splitlines():
                assert any(shown in line for line in said), f"{block.where}: {shown}"


def test_the_guide_sets_up_as_the_readme_does() -> None:
    (block,) = [block for block in guide_blocks() if "setting up" in block.remarks]
    venv, activate, install = block.text.splitlines()
    assert activate == ". .venv/bin/activate"
    demo = blocks(ROOT / "README.md", "sh")[0]
    assert demo.startswith(f"{venv} && .venv/bin/{install.replace('install', 'install --quiet')}")


def test_the_guide_names_every_shape() -> None:
    page = (DOCS / "guide" / "1-what-you-need.md").read_text(encoding="utf-8")
    assert [shape for shape in TEMPLATE_SHAPES if f"`{shape}`" not in page] == []


@pytest.mark.parametrize("shape", [s for s in TEMPLATE_SHAPES if s not in {"polygon", "file"}])
def test_the_guide_s_table_of_edges_parts_and_folds_is_right(shape: str) -> None:
    page = (DOCS / "guide" / "2-measuring-and-folding.md").read_text(encoding="utf-8")
    made = make_shape(loftline.parse_project(tomllib.loads(template(shape))).panel, [])
    assert made is not None
    (row,) = re.findall(rf"(?m)^\| {shape} \|([a-z ,]+)\|([a-z ,]*)\|([a-z ,]*)\|$", page)
    found = [[word for word in cell.strip().split(", ") if word] for cell in row]
    brought = (list(made.edges), [p.name for p in made.parts], [f.name for f in made.folds])
    assert [sorted(names) for names in found] == [sorted(names) for names in brought]


def test_the_readme_s_python_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(DOCS / "examples", tmp_path / "docs" / "examples")
    monkeypatch.chdir(tmp_path)
    (code,) = blocks(ROOT / "README.md", "python")
    exec(compile(code, "README.md", "exec"), {})  # noqa: S102 - our own page
    assert "stitches in" in capsys.readouterr().out
    names = ["spoke-pouch-cutting.svg", *(f"spoke-pouch.{end}" for end in ("dst", "json", "svg"))]
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == names


def test_the_readme_starts_with_the_job_then_a_picture_then_two_commands() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    title, job, picture, *_ = text.split("\n\n")
    assert title == "# loftline"
    assert job.startswith("loftline plans")
    assert "\n" not in job
    assert picture.startswith("![")
    assert re.findall(r"<!-- command: (\w+) -->\n```sh\n[^\n]+\n```\n", text) == ["demo", "tests"]


def test_ci_takes_its_commands_from_the_readme() -> None:
    text = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert os.access(ROOT / ".ci" / "run", os.X_OK)
    assert "readme_command tests" in text
    script = text[text.index("readme_command() {") :]
    script = script[: script.index("\n}\n") + 3] + "readme_command tests\n"
    done = subprocess.run(  # noqa: S603 - our own words
        ["bash", "-c", script],  # noqa: S607 - the shell of the path
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    assert done.stdout.strip() == blocks(ROOT / "README.md", "sh")[1].strip()
    assert done.stdout.strip().endswith("pytest -n auto")

"""The docs say what is there: generated pages, keys, commands, findings, examples, links."""

from __future__ import annotations

import ast
import os
import re
import shutil
import subprocess
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import loftline
from loftline.cli import main
from loftline.cli.commands import demo_text
from loftline.cli.parser import COMMANDS, FORMATS
from loftline.cli.screen import SEVERITY_WORDS
from loftline.project import json_schema
from make_docs import PAGES

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


@pytest.mark.parametrize("path", PAGES_BY_HAND, ids=lambda path: path.name)
def test_links_lead_somewhere(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", text):
        assert (path.parent / target).exists(), target


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


def test_the_guide_s_tables_make_a_project_file() -> None:
    text = "\n".join(blocks(DOCS / "guide.md", "toml"))
    assert loftline.make_plan(loftline.parse_project(tomllib.loads(text))).clean


def test_the_guide_shows_what_is_really_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (text,) = blocks(ROOT / "README.md", "toml")
    monkeypatch.chdir(tmp_path)
    Path("my-bag.toml").write_text(text.replace("width", "widht"), encoding="utf-8")
    assert main(["check", "my-bag.toml"]) == 2
    assert capsys.readouterr().err == blocks(DOCS / "guide.md", "text")[-1]


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
    assert done.stdout.strip().endswith("pytest")

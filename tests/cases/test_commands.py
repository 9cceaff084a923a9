"""The commands as a maker types them: what is said, what is written, which exit code."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import jsonschema
import pikepdf
import pytest

import loftline
from loftline.cli import main
from loftline.cli.commands import demo_text
from loftline.cli.words import SHAPES
from loftline.project import ORDERS

GOOD = """\
format = 1
name = "Tyre lever mat"
[panel]
shape = "rectangle"
width = 120
height = 90
[[fills]]
pattern = "channel"
angle = 45
spacing = 15
"""
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in, with a good project file beside nothing else."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mat.toml").write_text(GOOD, encoding="utf-8")
    return tmp_path


def run(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-m", "loftline", *words],
        capture_output=True,
        text=True,
        cwd=folder,
        check=False,
    )


def test_plan_writes_the_usual_files(folder: Path, capsys: Output) -> None:
    assert main(["plan", "mat.toml", "--out", "deep/out"]) == 0
    names = sorted(path.name for path in (folder / "deep" / "out").iterdir())
    assert names == [f"tyre-lever-mat.{end}" for end in ("csv", "dst", "json", "svg")]
    out, err = capsys.readouterr()
    assert err == ""
    assert "Stitches" in out
    assert str(Path("deep/out/tyre-lever-mat.dst")) in out


def test_plan_writes_what_is_asked_for_and_no_more(folder: Path) -> None:
    assert main(["plan", "mat.toml", "--out", "out", "--format", "EXP,svg"]) == 0
    assert sorted(path.suffix for path in (folder / "out").iterdir()) == [".exp", ".svg"]


def test_plan_replaces_its_own_files_and_leaves_others(folder: Path) -> None:
    (folder / "out").mkdir()
    (folder / "out" / "notes.txt").write_text("mine", encoding="utf-8")
    (folder / "out" / "tyre-lever-mat.dst").write_text("old", encoding="utf-8")
    assert main(["plan", "mat.toml", "--out", "out", "--format", "dst"]) == 0
    assert (folder / "out" / "notes.txt").read_text(encoding="utf-8") == "mine"
    assert len((folder / "out" / "tyre-lever-mat.dst").read_bytes()) > 512


def test_check_writes_nothing(folder: Path, capsys: Output) -> None:
    assert main(["check", "mat.toml"]) == 0
    assert [path.name for path in folder.iterdir()] == ["mat.toml"]
    assert "Needle thread" in capsys.readouterr().out


@pytest.mark.usefixtures("folder")
def test_orders_are_priced_on_request(capsys: Output) -> None:
    assert main(["check", "mat.toml"]) == 0
    assert "Sewing orders" not in capsys.readouterr().out
    assert main(["check", "mat.toml", "--orders"]) == 0
    table = capsys.readouterr().out.split("Sewing orders\n")[1]
    named = [line.split("  ")[1] for line in table.splitlines()[1:7]]
    # the order from an edge needs the edge
    assert named == ["least cost (yours)", *ORDERS[1:-1]]
    assert main(["plan", "mat.toml", "--out", "out", "--format", "json", "--orders"]) == 0
    assert "beside the last line" in capsys.readouterr().out


def test_demo_writes_everything_beside_its_project_file(folder: Path, capsys: Output) -> None:
    assert main(["demo"]) == 0
    names = {path.name for path in (folder / "loftline-demo").iterdir()}
    ends = ("dst", "exp", "pes", "vp3", "u01", "xxx", "gcode", "svg", "csv", "json", "toml")
    more = {"spoke-pouch-cutting.svg", "spoke-pouch-templates.pdf"}
    assert names == {f"spoke-pouch.{end}" for end in ends} | more
    out = capsys.readouterr().out
    assert "jef file: no jef file was written" in out
    assert out.index("magnet") < out.index("Report")
    assert (folder / "loftline-demo" / "spoke-pouch.toml").read_text("utf-8") == demo_text()


def test_demo_keeps_a_changed_project_file(folder: Path) -> None:
    (folder / "loftline-demo").mkdir()
    mine = folder / "loftline-demo" / "spoke-pouch.toml"
    mine.write_text("mine", encoding="utf-8")
    assert main(["demo"]) == 0
    assert mine.read_text(encoding="utf-8") == "mine"


def test_new_writes_a_file_that_can_be_planned(folder: Path, capsys: Output) -> None:
    assert main(["new", "chain-tool_roll.toml"]) == 0
    project = loftline.read_project(folder / "chain-tool_roll.toml")
    assert project.name == "Chain tool roll"
    assert "loftline check chain-tool_roll.toml" in capsys.readouterr().out
    assert main(["check", "chain-tool_roll.toml"]) == 0


@pytest.mark.parametrize("shape", SHAPES)
def test_new_starts_any_shape(folder: Path, shape: str) -> None:
    assert main(["new", "mine.toml", "--shape", shape]) == 0
    assert loftline.read_project(folder / "mine.toml").panel.shape == shape
    assert main(["check", "mine.toml"]) == 0


def test_new_leaves_a_drawing_that_is_there(folder: Path, capsys: Output) -> None:
    (folder / "mine-drawing.svg").write_text("mine", encoding="utf-8")
    assert main(["new", "mine.toml", "--shape", "file"]) == 0
    assert (folder / "mine-drawing.svg").read_text(encoding="utf-8") == "mine"
    assert "mine-drawing.svg was there already" in capsys.readouterr().out


@pytest.mark.parametrize("out", [".", "../drawn"])
def test_plan_does_not_put_the_picture_over_the_drawing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output, out: str
) -> None:
    (tmp_path / "drawn").mkdir()
    monkeypatch.chdir(tmp_path / "drawn")
    main(["new", "mine.toml", "--shape", "file"])
    drawing = Path("mine-drawing.svg").rename("mine.svg").read_bytes()
    text = Path("mine.toml").read_text(encoding="utf-8")
    Path("mine.toml").write_text(text.replace("mine-drawing", "mine"), encoding="utf-8")
    assert main(["plan", "mine.toml", "--out", out]) == 2
    assert "would take the place of your drawing" in capsys.readouterr().err
    assert Path("mine.svg").read_bytes() == drawing
    assert sorted(path.name for path in Path().iterdir()) == ["mine.svg", "mine.toml"]
    assert main(["plan", "mine.toml", "--out", out, "--format", "dst"]) == 0


@pytest.mark.parametrize("name", ['"quoted" \\ name.toml', "näh.toml", "12.toml", ".toml", "a"])
def test_new_makes_a_good_name_of_any_file_name(folder: Path, name: str) -> None:
    assert main(["new", name]) == 0
    assert loftline.read_project(folder / name).slug


def test_new_leaves_a_file_that_is_there(folder: Path, capsys: Output) -> None:
    assert main(["new", "mat.toml"]) == 2
    assert (folder / "mat.toml").read_text(encoding="utf-8") == GOOD
    assert capsys.readouterr().err == ("loftline: mat.toml is already there and was left alone.\n")


def test_new_schema_is_a_schema_that_the_demo_fits(folder: Path, capsys: Output) -> None:
    assert main(["new", "--schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    validator.validate(tomllib.loads(demo_text()))
    assert list(validator.iter_errors(tomllib.loads(GOOD + 'colour = "red"\n')))
    assert [path.name for path in folder.iterdir()] == ["mat.toml"]


def test_open_tells_the_faults_of_a_file_and_opens_no_page(folder: Path, capsys: Output) -> None:
    (folder / "mat.toml").write_text(GOOD.replace("width = 120", "width = -1"), encoding="utf-8")
    assert main(["open", "mat.toml"]) == 2
    assert "panel.width" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "path"),
    [
        (GOOD.replace("width = 120", "width = -1"), "panel.width"),
        (GOOD.replace("spacing = 15", "spacing = 0"), "fills[0].spacing"),
        (GOOD.replace("spacing", "spacign"), "fills[0].spacign"),
        (GOOD.replace("format = 1", "format = 2"), "format"),
        (GOOD.replace('"rectangle"', "7"), "panel.shape"),
        (GOOD.replace("120", "nan"), "panel.width"),
        ("", "panel"),
    ],
)
def test_bad_values_are_named_and_nothing_is_written(
    folder: Path, capsys: Output, text: str, path: str
) -> None:
    (folder / "mat.toml").write_text(text, encoding="utf-8")
    assert main(["plan", "mat.toml", "--out", "out"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"  {path}: " in err
    assert not (folder / "out").exists()


@pytest.mark.parametrize("command", [["check"], ["plan", "--out", "out"]])
@pytest.mark.parametrize("name", ["none.toml", ".", "binary.toml", "mat.toml/x", "broken.toml"])
def test_files_that_cannot_be_read(
    folder: Path, capsys: Output, command: list[str], name: str
) -> None:
    (folder / "binary.toml").write_bytes(bytes(range(256)))
    (folder / "broken.toml").write_text("format = = 1", encoding="utf-8")
    assert main([command[0], name, *command[1:]]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert 1 <= len(err.splitlines()) <= 2
    assert not (folder / "out").exists()


def test_all_faults_are_told_at_once(folder: Path, capsys: Output) -> None:
    text = GOOD.replace("120", "-120").replace("15", '"15 parsecs"').replace("channel", "chanel")
    (folder / "mat.toml").write_text(text, encoding="utf-8")
    assert main(["check", "mat.toml"]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert lines[0] == "mat.toml: 3 things to mend"
    assert len(lines) == 4


@pytest.mark.usefixtures("folder")
def test_out_that_is_a_file(capsys: Output) -> None:
    assert main(["plan", "mat.toml", "--out", "mat.toml"]) == 2
    assert capsys.readouterr().err == "loftline: --out mat.toml is a file; name a folder.\n"


@pytest.mark.parametrize("out", ["mat.toml/below", "/proc/nowhere", "a\0b", "x" * 300])
def test_out_that_cannot_be_made(folder: Path, capsys: Output, out: str) -> None:
    assert folder.exists()
    assert main(["plan", "mat.toml", "--out", out]) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_names_cannot_steer_the_terminal(folder: Path, capsys: Output) -> None:
    text = GOOD.replace("Tyre lever mat", "[red]Mat[/red] :smile:")
    (folder / "mat.toml").write_text(text, encoding="utf-8")
    assert main(["check", "mat.toml"]) == 0
    assert "[red]Mat[/red] :smile:" in capsys.readouterr().out


def test_plain_lines_through_a_pipe(folder: Path) -> None:
    done = run("check", "mat.toml", folder=folder)
    assert done.returncode == 0
    assert "\x1b" not in done.stdout + done.stderr
    assert done.stderr == ""
    assert not any(sign in done.stdout for sign in "─│┃━╭")


def test_a_reader_that_has_gone_is_no_fault(folder: Path) -> None:
    done = subprocess.run(  # noqa: S602 - our own words
        f"{sys.executable} -m loftline check mat.toml | head -n 1",
        shell=True,
        capture_output=True,
        text=True,
        cwd=folder,
        check=True,
    )
    assert done.stderr == ""


def test_a_terminal_without_our_letters_is_no_fault(folder: Path) -> None:
    text = GOOD.replace("Tyre lever mat", "Nähmaschinenöl ½ ″")
    (folder / "mat.toml").write_text(text, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "loftline", "check", "mat.toml"],
        capture_output=True,
        cwd=folder,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        check=True,
    )
    assert done.stderr == b""


def test_ctrl_c_is_answered_in_one_sentence(folder: Path) -> None:
    big = GOOD.replace("120", "2400").replace("90", "2400").replace("15", "6")
    (folder / "mat.toml").write_text(big.replace("channel", "meander"), encoding="utf-8")
    (folder / "mat.toml").write_text(
        (folder / "mat.toml").read_text("utf-8").replace("angle = 45\n", ""), encoding="utf-8"
    )
    with subprocess.Popen(
        [sys.executable, "-m", "loftline", "plan", "mat.toml", "--out", "out"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=folder,
    ) as process:
        time.sleep(3)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
    assert (process.returncode, out, err) == (130, "", "loftline: Stopped.\n")
    assert not (folder / "out").exists()


def test_a_fault_of_our_own_is_said_without_a_traceback(
    folder: Path, capsys: Output, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert folder.exists()

    def fails(*_: object, **__: object) -> None:
        raise ZeroDivisionError("oh")

    monkeypatch.setattr("loftline.plan.make_plan", fails)
    assert main(["check", "mat.toml"]) == 3
    err = capsys.readouterr().err
    assert err.startswith("loftline: A mistake of loftline's own")
    assert "Traceback" not in err
    monkeypatch.setenv("LOFTLINE_DEBUG", "1")
    with pytest.raises(ZeroDivisionError):
        main(["check", "mat.toml"])


def test_who_says_what_the_sheets_shall_be_gets_them(folder: Path) -> None:
    words = ["plan", "mat.toml", "--out", "out", "--format", "csv"]
    assert main([*words, "--paper", "letter", "--sheets", "panel"]) == 0
    names = sorted(path.name for path in (folder / "out").iterdir())
    assert names == ["tyre-lever-mat-templates.pdf", "tyre-lever-mat.csv"]
    with pikepdf.open(folder / "out" / "tyre-lever-mat-templates.pdf") as file:
        sizes = {tuple(sorted(float(side) for side in page.mediabox[2:])) for page in file.pages}
    assert sizes == {(612.0, 792.0)}  # 8 1/2 x 11 in, 72 points an inch

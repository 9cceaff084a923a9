"""The command ``inspect`` as a maker types it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from loftline.cli import main
from loftline.writers.stitch_files import write_stitch_file
from support_stitch_files import sewn_of

MAT = """\
format = 1
name = "Saddle mat"
[panel]
shape = "rectangle"
width = 100
height = 80
[[hardware]]
name = "left magnet"
kind = "sew-in magnet"
diameter = 18
at = [50, 40]
[[fills]]
pattern = "channel"
angle = 0
spacing = 15
"""
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output) -> Path:
    """A project file and its plan's files in ``out``."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mat.toml").write_text(MAT, encoding="utf-8")
    assert main(["plan", "mat.toml", "--out", "out", "--format", "dst,u01"]) == 0
    capsys.readouterr()
    return tmp_path


def first_answer(out: str) -> list[str]:
    """The words of the first row under the first heading."""
    heading, row, *_ = [line for line in out.splitlines() if line.strip()]
    assert heading == "Would it strike the hardware?"
    return row.split(None, 1)


def test_the_plan_s_own_file_is_safe(folder: Path, capsys: Output) -> None:
    assert main(["inspect", "out/saddle-mat.dst", "--project", "mat.toml"]) == 0
    out = capsys.readouterr().out
    assert first_answer(out)[0] == "no"
    assert "needle point by needle point" in out
    assert out.index("left magnet") < out.index("What saddle-mat.dst holds")
    assert "Longest stitch" in out
    assert sorted(path.name for path in folder.iterdir()) == ["mat.toml", "out"]


def test_a_file_in_the_wrong_place_strikes(folder: Path, capsys: Output) -> None:
    words = ["inspect", "out/saddle-mat.u01", "--project", "mat.toml", "--zero", "50 mm,48"]
    assert main([*words, "--out", "pictures"]) == 1
    out = capsys.readouterr().out
    assert first_answer(out) == ["yes", 'it would strike "left magnet": do not sew it']
    assert "[keep-out-entered]" in out
    (picture,) = (folder / "pictures").iterdir()
    assert picture.name == "saddle-mat-u01-inspected.svg"
    assert 'class="struck"' in picture.read_text(encoding="utf-8")


@pytest.mark.usefixtures("folder")
def test_without_a_project_the_hardware_is_unknown(capsys: Output) -> None:
    assert main(["inspect", "out/saddle-mat.dst"]) == 0
    assert first_answer(capsys.readouterr().out)[0] == "unknown"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["nothing.dst"], "nothing.dst is not there; name a stitch file."),
        (["out"], "out is no file; name a stitch file."),
        (["pipe.dst"], "pipe.dst is no file; name a stitch file."),
        (["x" * 300 + ".dst"], "is not there"),
        (["a\0.dst"], "name a stitch file"),
        (["mat.toml"], '"mat.toml" has no ending of a stitch file; there are dst'),
        (["cut.dst"], "the dst file is cut short: its end record (00 00 F3) is missing."),
        (["noise.pes"], 'a pes file begins with "#PES", this one does not.'),
        (["long.exp"], "more than can be sewn."),
        (["out/saddle-mat.dst", "--zero", "1,2"], "add --project"),
        (["out/saddle-mat.dst", "--project", "mat.toml", "--zero", "1"], "write two lengths"),
        (["out/saddle-mat.dst", "--project", "mat.toml", "--zero", "a,b"], "--zero a,b: found"),
        (["out/saddle-mat.dst", "--project", "mat.toml", "--zero", "nan,1"], "--zero nan,1"),
        (["out/saddle-mat.dst", "--project", "mat.toml", "--hooping", "2"], "only hooping 1"),
        (["out/saddle-mat.dst", "--project", "mat.toml", "--size", "M"], "no sizes"),
        (["out/saddle-mat.dst", "--project", "other.toml"], "other.toml"),
        (["out/saddle-mat.dst", "--out", "mat.toml"], "is a file; name a folder"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(
    folder: Path, capsys: Output, words: list[str], says: str
) -> None:
    whole = (folder / "out" / "saddle-mat.dst").read_bytes()
    (folder / "cut.dst").write_bytes(whole[:700])
    (folder / "noise.pes").write_bytes(bytes(range(256)))
    (folder / "long.exp").write_bytes(bytes(1 << 23) + b"\1\1")
    os.mkfifo(folder / "pipe.dst")
    assert main(["inspect", *words]) == 2
    err = capsys.readouterr().err
    assert says in err
    assert err.startswith("loftline: ")
    assert err.count("\n") == 1


def test_words_in_a_file_s_name_steer_no_terminal(folder: Path, capsys: Output) -> None:
    sewn = sewn_of([[(0, 0), (30, 0)]])
    name = "a\x1b[31m.dst"
    data = write_stitch_file("dst", sewn, name="a", at_cuts="trim")
    (folder / name).write_bytes(data)
    assert main(["inspect", name]) == 0
    assert "\x1b" not in capsys.readouterr().out

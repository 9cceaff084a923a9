"""Several sizes and several designs, as a maker types them."""

from __future__ import annotations

from pathlib import Path

import pytest

from loftline.cli import main

FILE = """\
name = "Tyre lever mat"
[panel]
shape = "rectangle"
width = 120
height = 90
[[hardware]]
kind = "eyelet"
at = [60, 45]
[[fills]]
pattern = "channel"
angle = 45
spacing = 15
"""
SIZES = """
[[sizes]]
name = "short"
copies = 2
[[sizes]]
name = "long"
width = 200
"""
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mat.toml").write_text(FILE + SIZES, encoding="utf-8")
    (tmp_path / "plain.toml").write_text(FILE, encoding="utf-8")
    return tmp_path


def written(folder: Path) -> list[str]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return sorted(path.relative_to(folder).as_posix() for path in files)


def test_plan_writes_a_folder_for_each_size(folder: Path, capsys: Output) -> None:
    assert main(["plan", "mat.toml", "--out", "out", "--format", "dst,csv"]) == 0
    assert written(folder / "out") == [
        "long/tyre-lever-mat-long.csv",
        "long/tyre-lever-mat-long.dst",
        "short/tyre-lever-mat-short.csv",
        "short/tyre-lever-mat-short.dst",
        "tyre-lever-mat-kit-list.csv",
    ]
    out = capsys.readouterr().out
    assert "3 \u00d7 eyelet" in out
    assert "Kit for one bag, size long (1 bag)" in out


def test_a_size_with_a_fault_writes_nothing(folder: Path, capsys: Output) -> None:
    (folder / "mat.toml").write_text(FILE + SIZES.replace("200", "15"), encoding="utf-8")
    assert main(["plan", "mat.toml", "--out", "out"]) == 2
    assert "sizes[1]" in capsys.readouterr().err
    assert not (folder / "out").exists()


def test_a_place_off_the_panel_in_one_size_writes_nothing(folder: Path, capsys: Output) -> None:
    far = FILE.replace("[60, 45]", '{ from = "left", distance = 100 }')
    sizes = SIZES.replace("copies = 2", "width = 80")
    (folder / "mat.toml").write_text(far + sizes, encoding="utf-8")
    assert main(["plan", "mat.toml", "--out", "out"]) == 2
    assert 'sizes[0]: in size "short", hardware[0]' in capsys.readouterr().err
    assert not (folder / "out").exists()


def test_check_tells_of_all_sizes_and_writes_nothing(folder: Path, capsys: Output) -> None:
    before = written(folder)
    assert main(["check", "mat.toml"]) == 0
    assert "All sizes together" in capsys.readouterr().out
    assert written(folder) == before


def test_check_tells_of_one_size_in_full(capsys: Output, folder: Path) -> None:
    assert main(["check", str(folder / "mat.toml"), "--size", "LONG"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("Tyre lever mat long\n")
    assert "Advice" in out


def test_compare_prints_a_row_for_each_design(folder: Path, capsys: Output) -> None:
    assert main(["compare", "plain.toml", "--pattern", "channel,grid"]) == 0
    lines = [line.strip() for line in capsys.readouterr().out.splitlines()]
    rows = [line for line in lines if line.startswith(("channel", "grid"))]
    assert [row.split("  ")[0] for row in rows] == ["channel (yours)", "grid"]
    assert written(folder) == ["mat.toml", "plain.toml"]


def test_compare_writes_the_board_of_the_size(folder: Path) -> None:
    words = ["compare", "mat.toml", "--angle", "45", "--size", "long", "--out", "out"]
    assert main(words) == 0
    assert "tyre-lever-mat-long-board.svg" in written(folder / "out")


def test_the_board_never_takes_the_place_of_a_drawing(folder: Path, capsys: Output) -> None:
    drawing = '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="80mm"/>'
    drawing = drawing.replace("/>", ' viewBox="0 0 90 80"><rect width="90" height="80"/></svg>')
    (folder / "mat-board.svg").write_text(drawing, encoding="utf-8")
    panel = '[panel]\nshape = "file"\nfile = "mat-board.svg"\n[[fills]]\npattern = "grid"\n'
    (folder / "drawn.toml").write_text('name = "Mat"\n' + panel, encoding="utf-8")
    assert main(["compare", "drawn.toml", "--angle", "30", "--out", "."]) == 2
    assert "would take the place of your drawing" in capsys.readouterr().err
    assert (folder / "mat-board.svg").read_text(encoding="utf-8") == drawing


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["compare", "plain.toml"], "Say what to compare"),
        (["compare", "plain.toml", "--pattern", "chanel"], "did you mean channel?"),
        (["compare", "plain.toml", "--pattern", ","], "--pattern needs at least one value"),
        (["compare", "plain.toml", "--spacing", "12 cubits"], "--spacing: "),
        (["compare", "plain.toml", "--spacing", "0"], "at least 1 mm"),
        (["compare", "plain.toml", "--angle", "steep"], "--angle: "),
        (["compare", "plain.toml", "--order", "one wey"], "did you mean one way?"),
        (["compare", "plain.toml", "--angle", "1,2,3,4,5", "--spacing", "5,6,7,8,9"], "25"),
        (["compare", "plain.toml", "--angle", "30", "--part", "flap"], "fills cover all"),
        (["compare", "plain.toml", "--angle", "30", "--size", "S"], "has no sizes"),
        (["compare", "mat.toml", "--angle", "30", "--size", "S"], "there are short, long"),
        (["compare", "plain.toml", "--angle", "30", "--out", "mat.toml"], "is a file"),
        (["check", "plain.toml", "--size", "S"], "has no sizes"),
    ],
)
def test_what_does_not_fit_is_one_sentence_and_writes_nothing(
    folder: Path, capsys: Output, words: list[str], said: str
) -> None:
    assert main(words) == 2
    found = capsys.readouterr()
    assert said in found.err
    assert "Traceback" not in found.err
    assert found.out == ""
    assert written(folder) == ["mat.toml", "plain.toml"]

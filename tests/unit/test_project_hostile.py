"""Files that nobody means well with: one clear sentence, fast, and never a traceback."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

import pytest

from loftline.errors import ProjectError
from loftline.project import MOST_BYTES, read_project
from loftline.project.reading import parse_project

SECONDS = 20  # for the slowest: 2 MB through the parser on a busy machine; most take far less


def refused(path: str | os.PathLike[str]) -> str:
    """All sentences of a file that is refused in good time."""
    start = time.monotonic()
    with pytest.raises(ProjectError) as caught:
        read_project(path)
    assert time.monotonic() - start < SECONDS
    message = str(caught.value)
    assert all(line.isprintable() and len(line) < 400 for line in message.split("\n"))
    return message


def written(tmp_path: Path, data: bytes) -> Path:
    path = tmp_path / "bad.toml"
    path.write_bytes(data)
    return path


def test_a_missing_file(tmp_path: Path) -> None:
    assert "there is no file" in refused(tmp_path / "none.toml")


def test_a_folder(tmp_path: Path) -> None:
    assert "is a folder" in refused(tmp_path)


def test_a_path_through_a_file(tmp_path: Path) -> None:
    assert "cannot be read" in refused(written(tmp_path, b"") / "x.toml")


def test_impossible_paths(tmp_path: Path) -> None:
    assert "cannot be read" in refused("a\0b")
    assert "cannot be read" in refused(tmp_path / ("x" * 5000))


@pytest.mark.skipif(sys.platform == "win32", reason="no such file there")
def test_a_device_that_never_ends() -> None:
    assert "not a file that can be read" in refused("/dev/zero")


@pytest.mark.skipif(sys.platform == "win32", reason="no such file there")
def test_a_pipe_that_never_answers(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert "not a file that can be read" in refused(pipe)


def test_a_file_without_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path, b"")

    def no(*_args: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", no)  # real permissions do not hold for root
    assert "no permission" in refused(path)


def test_a_file_of_a_gigabyte_is_refused_unread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "big.toml"
    with path.open("wb") as file:
        file.truncate(10**9)  # sparse: takes no room

    def never(*_args: object) -> None:
        raise AssertionError("opened")

    monkeypatch.setattr(Path, "open", never)
    assert "1000.0 MB" in refused(path)


def test_the_size_is_looked_at_again_while_reading(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path, b"")
    grown = tmp_path / "grown.toml"
    grown.write_bytes(b"#" * (MOST_BYTES + 1))
    handle = grown.open("rb")
    monkeypatch.setattr(Path, "open", lambda *_: handle)
    assert "longer than 2 MB" in refused(path)


def test_two_megabytes_are_read(tmp_path: Path) -> None:
    text = b'panel={shape="ellipse",width=99,height=99}\nfills=[{pattern="grid"}]\n'
    path = written(tmp_path, text + b"#" * (MOST_BYTES - len(text)))
    assert read_project(path).panel.width == 99.0
    path.write_bytes(path.read_bytes() + b"#")
    assert "2.0 MB" in refused(path)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "panel: is missing"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "no text file"),
        (b"name = '\xe9t\xe9'", "not UTF-8 text (line 1)"),
        ("name = 'x'".encode("utf-16"), "no text file"),
        (b"name = \x01", "line 1"),
        (b"a\nunits = mm\n", "line 1"),
        (b"[panel]\nunits = mm\n", "line 2, column 9: no value can be read here"),
        (b'a = "3/8""\n', 'write "3/8 in" for inches'),
        (b"a = 320,5  # wide\n", "a number has a point, not a comma: write 320.5"),
        ("a = \u201cmat\u201d\n".encode(), "quotation marks must be straight ones"),
        (b"a = 'open\n", "a quote is not closed"),
        (b"a = [1, 2\nb = 3", "line 2"),
        (b"a = [1, 2", "at the end of the file"),
        (b"a = 1\na = 2\n", "line 2, column 6: this key was there before"),
        (b"[a]\n[a]\n", "line 2, column 3: this table was there before"),
        (b'a = "open\n', "line 1, column 10: a quote is not closed"),
        (b'a = "C:\\dir"\n', "backslash"),
        (b"a = 1999-99-99\n", "line 1"),
        (b"a = " + b"1" * 10_000, "too many digits"),
        (b"<svg></svg>", "line 1"),
        (b'{"format": 1}', "line 1"),
    ],
    ids=lambda value: repr(value)[:30],
)
def test_what_is_no_toml(data: bytes, says: str, tmp_path: Path) -> None:
    message = refused(written(tmp_path, data))
    assert says in message


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"a = " + b"[" * 1_000_000, "nested too deeply"),
        (b"a = " + b"{a=" * 400_000, "nested too deeply"),
        (b"a." * 900_000 + b"a = 1", "too many dots"),
        (b'"a" . ' * 300_000 + b"a = 1", "too many dots"),
        (b"'a'." * 300_000 + b"a = 1", "too many dots"),
        (b"[" + b"a." * 900_000 + b"a]", "too many dots"),
        (b"b = {" + b"a." * 900_000 + b"a = 1}", "too many dots"),
        (b"a" * 1_900_000, "at the end of the file"),
        (b'"' * 1_900_000, "line 1"),
        (b"'a" * 900_000, "line 1"),
        (b"a = 0x" + b"f" * 1_900_000, "a: unknown key"),
        (b"width" + b" " * 1_900_000, "at the end of the file"),
        (b"".join(b"k%d=1\n" % i for i in range(150_000)), "149980 more unknown keys"),
        (b"[[fills]]\n" * 190_000, "at most 50"),
        (b"[panel]\npoints = [" + b"[1,1]," * 300_000 + b"]", "at most 10000"),
        (b"name = '" + b"x" * 1_900_000 + b"'", "at most 100"),
    ],
    ids=lambda value: repr(value)[:30],
)
def test_two_megabytes_of_malice(data: bytes, says: str, tmp_path: Path) -> None:
    assert says in refused(written(tmp_path, data))


def test_dots_in_texts_and_numbers_are_no_deep_keys(tmp_path: Path) -> None:
    row = ", ".join(["[0.5, 0.25]", "[9.5, 0.25]", "[9.5, 9.75]"] * 200)
    text = f"name = 'a.b.c...... and so on........................'\n[panel]\npoints = [{row}]\n"
    text += "shape = 'polygon'\noverhang = 1.5\n[[fills]]\npattern = 'channel'\n"
    assert len(read_project(written(tmp_path, text.encode())).panel.points or ()) == 600


def test_deep_values_in_every_place() -> None:
    deep: object = 1
    for _ in range(50_000):
        deep = [deep] if isinstance(deep, dict) else {"from": deep}
    places = ("format", "name", "units", "panel", "hardware", "fills", "thread", "machine")
    for data in (dict.fromkeys(places, deep), {key: [deep] for key in places}):
        with pytest.raises(ProjectError):
            parse_project(data)


@pytest.mark.parametrize("second", ["[fills]", "[[fills]]", "[panel.darts]\n[panel.darts]"])
def test_single_brackets_round_a_list_are_told(second: str, tmp_path: Path) -> None:
    path = tmp_path / "project.toml"
    path.write_text(f'[fills]\npattern = "grid"\n{second}\n', encoding="utf-8")
    with pytest.raises(ProjectError) as caught:
        read_project(path)
    name = "panel.darts" if "darts" in second else "fills"
    assert f"write [[{name}]]" in str(caught.value)


def test_one_table_where_a_list_should_be_is_told() -> None:
    panel = {"shape": "ellipse", "width": 90, "height": 90}
    with pytest.raises(ProjectError) as caught:
        parse_project({"panel": panel, "fills": {"pattern": "grid"}})
    assert "write [[fills]]" in str(caught.value)

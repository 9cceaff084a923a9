"""What is downloaded: kinds of files, one size or all, the project file with its drawings."""

from __future__ import annotations

import io
import json
import tomllib
import zipfile
from pathlib import Path

import pytest

from loftline.errors import does_nothing
from loftline.export import export, export_sizes
from loftline.plan import make_plan
from loftline.project import DRAWING, parse_project, template_of
from loftline.sizes import make_plans
from loftline.web.app import HANDLERS
from loftline.web.desk import Desk
from loftline.web.document import Document

MAT = """\
format = 1
name = "Saddle mat"
[panel]
shape = "rectangle"
width = 120
height = 90
[[fills]]
pattern = "channel"
spacing = 15
"""
SIZES = '[[sizes]]\nname = "S"\n[[sizes]]\nname = "L"\nwidth = 240\nheight = 200\n'
LABEL = '[[keep_outs]]\nshape = "rectangle"\nat = [60, 45]\nwidth = 118\nheight = 88\n'


def desk(text: str, folder: Path) -> Desk:
    return Desk(Document.fresh(text, folder))


def asked(desk: Desk, **ask: object) -> tuple[str, bytes]:
    """Name and bytes of what is downloaded."""
    answer = HANDLERS["files"](desk, ask, does_nothing)
    return answer.headers["x-file-name"], bytes(answer.body)


def unzipped(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def written(folder: Path) -> dict[str, bytes]:
    """Every file in a folder, by its path in it."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def test_what_is_downloaded_is_what_the_command_writes(tmp_path: Path) -> None:
    formats = ("dst", "svg", "csv")
    _, data = asked(desk(MAT, tmp_path), formats=[*formats])
    export(make_plan(parse_project(tomllib.loads(MAT))), tmp_path / "out", formats)
    assert unzipped(data) == written(tmp_path / "out")


def test_of_all_sizes_too(tmp_path: Path) -> None:
    formats = ("dst", "csv", "json")
    name, data = asked(desk(MAT + SIZES, tmp_path), formats=[*formats], sizes=True)
    batch = make_plans(parse_project(tomllib.loads(MAT + SIZES)))
    export_sizes(batch, tmp_path / "out", formats)
    files = unzipped(data)
    assert files == written(tmp_path / "out")
    assert (name, {path.rpartition("/")[0] for path in files}) == ("saddle-mat.zip", {"", "s", "l"})


def test_without_sizes_all_sizes_are_the_only_one(tmp_path: Path) -> None:
    assert asked(desk(MAT, tmp_path), formats=["dst"], sizes=True)[0] == "saddle-mat.dst"


def test_one_file_comes_by_itself(tmp_path: Path) -> None:
    assert asked(desk(MAT, tmp_path), formats=["dst"])[0] == "saddle-mat.dst"


def test_one_file_comes_in_a_zip_where_that_is_asked_for(tmp_path: Path) -> None:
    name, data = asked(desk(MAT, tmp_path), formats=["dst"], zip=True)
    assert (name, [*unzipped(data)]) == ("saddle-mat.zip", ["saddle-mat.dst"])


def test_the_project_file_comes_by_itself(tmp_path: Path) -> None:
    assert asked(desk(MAT, tmp_path), formats=[], project=True) == (
        "saddle-mat.toml",
        MAT.encode(),
    )


def drawn(folder: Path) -> Desk:
    """A bag whose drawing is called what its picture would be."""
    text = template_of("saddle-mat.svg", name="Saddle mat")
    found = desk(MAT, folder)
    found.document.begin(text, "begin", {"saddle-mat.svg": DRAWING.encode()})
    return found


def test_its_drawings_come_with_it(tmp_path: Path) -> None:
    files = unzipped(asked(drawn(tmp_path), formats=["csv"], project=True)[1])
    assert files["saddle-mat.svg"] == DRAWING.encode()


def test_the_drawing_does_not_take_the_place_of_the_picture(tmp_path: Path) -> None:
    files = unzipped(asked(drawn(tmp_path), formats=["svg"], project=True)[1])
    assert [*files] == ["saddle-mat.svg", "project/saddle-mat.toml", "project/saddle-mat.svg"]
    assert files["project/saddle-mat.svg"] != files["saddle-mat.svg"]


def test_the_same_files_give_the_same_bytes(tmp_path: Path) -> None:
    one, other = (asked(desk(MAT, tmp_path), formats=["dst", "svg"])[1] for _ in range(2))
    assert one == other


@pytest.mark.parametrize("formats", [[], ["html"]])
def test_nothing_else_is_made(tmp_path: Path, formats: list[str]) -> None:
    with pytest.raises(ValueError, match="at least one kind"):
        asked(desk(MAT, tmp_path), formats=formats)


def test_what_stops_one_size_stops_all(tmp_path: Path) -> None:
    # the label leaves nothing to sew on the small one
    ask = {"formats": ["dst"], "sizes": True}
    answer = HANDLERS["files"](desk(MAT + LABEL + SIZES, tmp_path), ask, does_nothing)
    (fault,) = json.loads(bytes(answer.body))["faults"]
    assert fault["where"].startswith("S: ")


def test_the_other_size_alone_is_not_stopped(tmp_path: Path) -> None:
    one = desk(MAT + LABEL + SIZES, tmp_path)
    one.size = "L"
    assert asked(one, formats=["dst"])[0] == "saddle-mat-l.dst"

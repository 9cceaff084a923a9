"""Drawings given on the page: read as from the disk, named anew, laid beside the project file."""

from __future__ import annotations

import base64
import tomllib
from pathlib import Path

import pytest

from loftline.cli.commands import demo_text
from loftline.errors import ProjectError
from loftline.project import DRAWING, MOST_DRAWING_BYTES, parse_project, template_of
from loftline.web.document import ChangedMeanwhile, Document
from loftline.web.drawings import drawing_bytes, name_beside

DRAWN = DRAWING.encode()
OTHER = DRAWN.replace(b"badge", b"crest")


def begun(document: Document, drawing: bytes = DRAWN, called: str = "Seat bag.svg") -> str:
    """Begin a bag from a drawing; its name in the project."""
    name = document.give(called, drawing, fresh=True)
    document.begin(template_of(name, name="Seat bag"), "begin", {name: drawing})
    return name


@pytest.fixture
def document(tmp_path: Path) -> Document:
    return Document.fresh(demo_text(), tmp_path)


def test_what_is_posted_comes_out_as_it_was() -> None:
    assert drawing_bytes(base64.b64encode(DRAWN).decode()) == DRAWN


@pytest.mark.parametrize("text", ["", "****", "QQ", base64.b64encode(b"").decode()])
def test_what_is_no_drawing_is_refused(text: str) -> None:
    with pytest.raises(ProjectError):
        drawing_bytes(text)


def test_a_drawing_longer_than_the_reader_takes_is_refused() -> None:
    with pytest.raises(ProjectError, match=r"4\.0 MB; a drawing has at most 4 MB"):
        drawing_bytes(base64.b64encode(b" " * (MOST_DRAWING_BYTES + 1)).decode())


@pytest.mark.parametrize(
    ("called", "name"),
    [
        ("panel.svg", "panel.svg"),
        ("Seat bag.SVG", "seat-bag.svg"),
        ("../../.ssh/keys.dxf", "keys.dxf"),
        ("C:\\work\\seat bag.dxf", "seat-bag.dxf"),
        ("..svg", "drawing.svg"),
        ("\0.svg", "drawing.svg"),
        ("con.svg", "con-drawing.svg"),
        ("袋.svg", "drawing.svg"),
        ("a" * 300 + ".svg", "a" * 60 + ".svg"),
    ],
)
def test_nothing_of_its_folder_is_in_the_name(tmp_path: Path, called: str, name: str) -> None:
    assert name_beside(called, DRAWN, tmp_path, []) == name


@pytest.mark.parametrize("called", ["panel.toml", "panel", "", "svg", "x.svg.exe"])
def test_another_ending_is_refused(tmp_path: Path, called: str) -> None:
    with pytest.raises(ProjectError):
        name_beside(called, DRAWN, tmp_path, [])


def test_a_name_that_another_file_has_is_left_to_it(tmp_path: Path) -> None:
    (tmp_path / "panel.svg").write_bytes(OTHER)
    assert name_beside("panel.svg", DRAWN, tmp_path, []) == "panel-2.svg"


def test_the_same_drawing_keeps_its_name(tmp_path: Path) -> None:
    (tmp_path / "panel.svg").write_bytes(DRAWN)
    assert name_beside("panel.svg", DRAWN, tmp_path, []) == "panel.svg"


def test_a_folder_of_that_name_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "panel.svg").mkdir()
    assert name_beside("panel.svg", DRAWN, tmp_path, []) == "panel-2.svg"


def test_a_name_that_another_drawing_of_the_project_has_is_left_to_it(tmp_path: Path) -> None:
    assert name_beside("panel.svg", DRAWN, tmp_path, [{"panel.svg": OTHER}]) == "panel-2.svg"


def test_nothing_is_written_before_it_is_saved(document: Document, tmp_path: Path) -> None:
    begun(document)
    assert [*tmp_path.iterdir()] == []


def test_saving_lays_the_drawing_beside_the_file(document: Document, tmp_path: Path) -> None:
    name = begun(document)
    path = document.save("seat-bag")
    assert sorted(entry.name for entry in tmp_path.iterdir()) == [name, "seat-bag.toml"]
    assert Document.read(path).files == {name: DRAWN}


def test_a_drawing_that_is_not_used_any_more_is_not_written(
    document: Document, tmp_path: Path
) -> None:
    begun(document)
    document.undo()
    document.save("spoke-pouch")
    assert [entry.name for entry in tmp_path.iterdir()] == ["spoke-pouch.toml"]


def test_undo_comes_back_to_the_drawing_before(document: Document) -> None:
    first = begun(document)
    second = begun(document, OTHER)
    document.undo()
    assert (first, second) == ("seat-bag.svg", "seat-bag-2.svg")
    assert document.files == {first: DRAWN}
    assert parse_project(document.data, files=document.files).panel.file == first


def test_a_file_that_came_meanwhile_is_not_written_over(document: Document, tmp_path: Path) -> None:
    name = begun(document)
    (tmp_path / name).write_bytes(OTHER)
    with pytest.raises(ChangedMeanwhile, match=name):
        document.save("seat-bag")
    assert (tmp_path / name).read_bytes() == OTHER
    assert not (tmp_path / "seat-bag.toml").exists()


def test_when_asked_it_is_written_over(document: Document, tmp_path: Path) -> None:
    name = begun(document)
    (tmp_path / name).write_bytes(OTHER)
    document.save("seat-bag", over=True)
    assert (tmp_path / name).read_bytes() == DRAWN


def test_a_link_of_that_name_is_not_followed(document: Document, tmp_path: Path) -> None:
    name = begun(document)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_bytes(b"mine")
    (tmp_path / name).symlink_to(elsewhere)
    document.save("seat-bag", over=True)
    assert elsewhere.read_bytes() == b"mine"


def test_what_would_be_saved_reads_back(document: Document) -> None:
    name = begun(document)
    files = document.as_files("seat-bag")
    assert [*files] == ["seat-bag.toml", name]
    data = tomllib.loads(files["seat-bag.toml"].decode())
    assert parse_project(data, files={name: files[name]}).panel.file == name

"""The project file while it is open: undo, saving, and a file that changed meanwhile."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from loftline.cli.commands import demo_text
from loftline.errors import ExportError, ProjectError
from loftline.project import template
from loftline.web.document import ChangedMeanwhile, Document

WIDER = [{"op": "set", "path": ["panel", "width"], "value": 260}]
FEWER = [{"op": "set", "path": ["copies"], "value": 3}]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "pouch.toml"
    path.write_text(demo_text(), encoding="utf-8")
    return path


def change(document: Document, edits: object) -> None:
    data, _ = document.tried(edits)
    document.take(data, "a change")


def width(document: Document) -> object:
    panel = document.data["panel"]
    assert isinstance(panel, dict)
    return panel["width"]


def test_a_change_is_held(path: Path) -> None:
    document = Document.read(path)
    change(document, WIDER)
    assert width(document) == 260


def test_trying_changes_nothing(path: Path) -> None:
    document = Document.read(path)
    document.tried(WIDER)
    assert width(document) == 250


def test_undo_and_redo(path: Path) -> None:
    document = Document.read(path)
    change(document, WIDER)
    document.undo()
    undone = width(document)
    document.redo()
    assert (undone, width(document)) == (250, 260)


def test_a_change_after_undo_forgets_what_was_undone(path: Path) -> None:
    document = Document.read(path)
    change(document, WIDER)
    document.undo()
    change(document, FEWER)
    assert document.redo_says is None


def test_undoing_everything_leaves_nothing_unsaved(path: Path) -> None:
    document = Document.read(path)
    change(document, WIDER)
    document.undo()
    assert not document.unsaved


def test_what_has_faults_is_not_held(path: Path) -> None:
    document = Document.read(path)
    with pytest.raises(ProjectError):
        document.tried([{"op": "set", "path": ["panel", "width"], "value": -1}])
    assert width(document) == 250


def test_saving_writes_what_is_held(path: Path) -> None:
    document = Document.read(path)
    change(document, WIDER)
    document.save("pouch")
    assert tomllib.loads(path.read_text(encoding="utf-8")) == document.data


def test_saving_twice_asks_nothing(path: Path) -> None:
    document = Document.read(path)
    change(document, WIDER)
    document.save("pouch")
    change(document, FEWER)
    document.save("pouch")
    assert not document.unsaved


def test_comments_survive_saving_twice(path: Path) -> None:
    document = Document.read(path)
    change(document, WIDER)
    document.save("pouch")
    change(document, FEWER)
    document.save("pouch")
    text = path.read_text(encoding="utf-8")
    assert [line.partition("#")[2] for line in text.splitlines()] == [
        line.partition("#")[2] for line in demo_text().splitlines()
    ]


def test_a_file_changed_meanwhile_is_left_alone(path: Path) -> None:
    document = Document.read(path)
    change(document, WIDER)
    path.write_text("# mine\n" + demo_text(), encoding="utf-8")
    with pytest.raises(ChangedMeanwhile):
        document.save("pouch")
    assert path.read_text(encoding="utf-8") == "# mine\n" + demo_text()


def test_a_file_taken_away_meanwhile_is_asked_about_too(path: Path) -> None:
    document = Document.read(path)
    path.unlink()
    with pytest.raises(ChangedMeanwhile):
        document.save("pouch")


def test_a_bag_without_a_file_is_saved_under_its_name(tmp_path: Path) -> None:
    document = Document.fresh(demo_text(), tmp_path)
    assert document.save("spoke-pouch") == (tmp_path / "spoke-pouch.toml").resolve()


def test_a_bag_without_a_file_replaces_none(tmp_path: Path) -> None:
    other = tmp_path / "spoke-pouch.toml"
    other.write_text("mine", encoding="utf-8")
    with pytest.raises(ChangedMeanwhile):
        Document.fresh(demo_text(), tmp_path).save("spoke-pouch")
    assert other.read_text(encoding="utf-8") == "mine"


def test_taking_what_the_file_holds_can_be_undone(path: Path) -> None:
    document = Document.read(path)
    change(document, WIDER)
    path.write_text(demo_text().replace("copies = 12", "copies = 5"), encoding="utf-8")
    document.load_again("take it")
    taken = (document.data["copies"], width(document))
    document.undo()
    assert (taken, document.data["copies"], width(document)) == ((5, 250), 12, 260)


def test_a_save_that_fails_leaves_the_file_as_it_was(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = Document.read(path)
    change(document, WIDER)

    def full(*_: object) -> None:
        raise OSError(28, "no room")

    monkeypatch.setattr("os.replace", full)
    with pytest.raises(ExportError):
        document.save("pouch")
    assert path.read_text(encoding="utf-8") == demo_text()
    assert [entry.name for entry in path.parent.iterdir()] == ["pouch.toml"]


def test_who_may_read_the_file_stays(path: Path) -> None:
    path.chmod(0o640)
    document = Document.read(path)
    change(document, WIDER)
    document.save("pouch")
    assert path.stat().st_mode & 0o777 == 0o640


def test_a_link_to_the_file_stays_a_link(path: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.toml"
    link.symlink_to(path)
    document = Document.read(link)
    change(document, WIDER)
    document.save("pouch")
    assert link.is_symlink()
    assert "260" in path.read_text(encoding="utf-8")


def test_another_bag_does_not_replace_the_file_of_the_one_before(path: Path) -> None:
    document = Document.read(path)
    document.begin(template("rectangle"), "another")
    saved = document.save("my-mat")
    assert (saved.name, path.read_text(encoding="utf-8")) == ("my-mat.toml", demo_text())


def test_undo_comes_back_to_the_bag_before_and_its_file(path: Path) -> None:
    document = Document.read(path)
    document.begin(template("rectangle"), "another")
    document.undo()
    assert document.path == path.resolve()

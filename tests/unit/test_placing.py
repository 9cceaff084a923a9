"""All files or none: what stands in the folder when something goes wrong half way."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from loftline.errors import ExportError
from loftline.export.placing import place_all

NEW = {"a.dst": b"new a", "b.exp": b"new b", "c.svg": b"new c"}
OLD = {"a.dst": b"old a", "c.svg": b"old c", "notes.txt": b"mine"}


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture
def used(tmp_path: Path) -> Path:
    for name, data in OLD.items():
        (tmp_path / name).write_bytes(data)
    return tmp_path


def fail_at(
    monkeypatch: pytest.MonkeyPatch, name: str, number: int, error: BaseException, times: int = 1
) -> None:
    """Let the ``number``-th call of ``os.name`` and ``times`` in all raise ``error``."""
    real: Callable[..., object] = getattr(os, name)
    calls = 0

    def sometimes(*args: object, **kwargs: object) -> object:
        nonlocal calls
        calls += 1
        if number <= calls < number + times:
            raise error
        return real(*args, **kwargs)

    monkeypatch.setattr(os, name, sometimes)


def test_files_are_placed_and_older_ones_replaced(used: Path) -> None:
    paths = place_all(used, NEW)
    assert paths == tuple(used / name for name in NEW)
    assert contents(used) == {**OLD, **NEW}


def test_folders_are_made(tmp_path: Path) -> None:
    place_all(tmp_path / "new" / "folder", NEW)
    assert contents(tmp_path / "new" / "folder") == NEW


def test_files_can_be_read_by_whom_the_mask_allows(tmp_path: Path) -> None:
    place_all(tmp_path, {"a.dst": b""})
    plain = tmp_path / "plain"
    plain.touch()
    assert stat.S_IMODE((tmp_path / "a.dst").stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


@pytest.mark.parametrize("number", [1, 2, 3])
@pytest.mark.parametrize(
    "error", [OSError(errno.EIO, "Input/output error"), KeyboardInterrupt(), MemoryError()]
)
def test_a_rename_that_fails_leaves_everything_as_it_was(
    used: Path, monkeypatch: pytest.MonkeyPatch, number: int, error: BaseException
) -> None:
    fail_at(monkeypatch, "replace", number, error)
    with pytest.raises(ExportError if isinstance(error, OSError) else type(error)):
        place_all(used, NEW)
    assert contents(used) == OLD


def test_renames_that_go_on_failing_leave_everything_as_it_was(
    used: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fail_at(monkeypatch, "replace", 3, OSError(errno.EIO, "Input/output error"), times=99)
    with pytest.raises(ExportError, match=r"c\.svg could not be replaced: input/output error"):
        place_all(used, NEW)
    assert contents(used) == OLD


def test_a_disk_without_second_names_keeps_older_files_too(
    used: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fail_at(monkeypatch, "link", 1, OSError(errno.EPERM, "not here"), times=99)
    fail_at(monkeypatch, "replace", 3, OSError(errno.EIO, "Input/output error"))
    with pytest.raises(ExportError):
        place_all(used, NEW)
    assert contents(used) == OLD


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_full_disk_is_named_and_leaves_nothing(
    used: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    fail_at(monkeypatch, "fsync", number, OSError(errno.ENOSPC, "No space left on device"))
    with pytest.raises(ExportError, match="there is no room left on the disk"):
        place_all(used, NEW)
    assert contents(used) == OLD


def test_a_folder_made_for_nothing_goes_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fail_at(monkeypatch, "fsync", 2, OSError(errno.ENOSPC, "No space left on device"))
    with pytest.raises(ExportError):
        place_all(tmp_path / "new" / "folder", NEW)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_was_there_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fail_at(monkeypatch, "fsync", 1, OSError(errno.ENOSPC, "No space left on device"))
    with pytest.raises(ExportError):
        place_all(tmp_path, NEW)
    assert tmp_path.is_dir()


def test_a_folder_in_the_place_of_a_file(used: Path) -> None:
    (used / "b.exp").mkdir()
    with pytest.raises(ExportError, match=r"b\.exp could not be written: a folder of that name"):
        place_all(used, NEW)
    (used / "b.exp").rmdir()
    assert contents(used) == OLD


@pytest.mark.parametrize("below", ["", "deeper"])
def test_a_file_in_the_place_of_the_folder(tmp_path: Path, below: str) -> None:
    (tmp_path / "out").write_bytes(b"mine")
    with pytest.raises(ExportError, match=r"out.* could not be made: a file is in the way"):
        place_all(tmp_path / "out" / below, NEW)
    assert contents(tmp_path) == {"out": b"mine"}


@pytest.mark.parametrize(
    ("name", "words"),
    [("a\0b", "a character that no name may have"), ("x" * 300, "its name is too long")],
)
def test_a_folder_that_cannot_be(tmp_path: Path, name: str, words: str) -> None:
    with pytest.raises(ExportError, match=words):
        place_all(tmp_path / name, NEW)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_may_not_be_written_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Whoever runs the tests may be allowed everything, so the system's answer is made up.
    def refuse(*_args: object, **_settings: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(ExportError, match=r"a\.dst could not be written: the folder may not be"):
        place_all(tmp_path, NEW)


def test_a_restore_that_fails_keeps_the_older_file_and_says_where(
    used: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fail_at(monkeypatch, "replace", 2, OSError(errno.EIO, "Input/output error"), times=99)
    monkeypatch.setattr("shutil.copy2", lambda *_: (_ for _ in ()).throw(OSError(errno.EIO, "x")))
    with pytest.raises(ExportError, match=r"a\.dst could not be put back") as caught:
        place_all(used, NEW)
    kept = [path for path in used.iterdir() if path.name.endswith(".older")]
    assert [path.read_bytes() for path in kept] == [b"old a"]
    assert str(kept[0]) in str(caught.value)

"""Files that appear all together, whole, or not at all.

Each file is written beside its place under another name and flushed to the disk. Only when
all are there do they take their places, one rename each. Where a rename fails, those
already made are taken back: older files stand again as they were.
"""

from __future__ import annotations

import errno
import os
import secrets
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from loftline.errors import ExportError

PART, OLDER = ".part", ".older"


def place_all(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Put all files into a folder, or leave everything as it was.

    Args:
        folder: made if it is not there, and taken away again if nothing could be written.
        files: contents by plain file name, or by a folder's name, ``/`` and that; such a
            folder is made, and goes again, as the outer one.

    Returns:
        The paths, in the order of ``files``.

    Raises:
        ExportError: one sentence on what stood in the way; nothing has changed then.
    """
    token = secrets.token_hex(4)  # keeps apart two exports at once; never in any content
    targets = {folder / name: data for name, data in files.items()}
    parts = {target: _beside(target, token, PART) for target in targets}
    with ExitStack() as stack:
        for inner in dict.fromkeys((folder, *(target.parent for target in targets))):
            stack.enter_context(_made(inner))
        stack.enter_context(_tidied(parts.values()))
        for target, data in targets.items():
            _refuse_what_is_in_the_way(target)
            try:
                _write(parts[target], data)
            except OSError as error:
                raise ExportError(f"{target} could not be written: {_why(error)}") from error
        _swap(parts, token)
    return tuple(targets)


def _beside(target: Path, token: str, ending: str) -> Path:
    return target.with_name(f".{target.name}.{token}{ending}")


def _refuse_what_is_in_the_way(target: Path) -> None:
    if target.is_dir():
        raise ExportError(f"{target} could not be written: a folder of that name is in the way")


def _write(path: Path, data: bytes) -> None:
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _swap(parts: Mapping[Path, Path], token: str) -> None:
    """Rename every part into its place, or put the older files back."""
    older: dict[Path, Path] = {}
    placed: list[Path] = []
    try:
        for target, part in parts.items():
            try:
                if target.exists():
                    older[target] = _beside(target, token, OLDER)
                    _keep(target, older[target])
                placed.append(target)
                os.replace(part, target)  # noqa: PTH105 - the one call that tests make fail
            except OSError as error:
                raise ExportError(f"{target} could not be replaced: {_why(error)}") from error
    except BaseException:
        _take_back(placed, older)
        raise
    finally:
        for kept in older.values():
            kept.unlink(missing_ok=True)


def _take_back(placed: list[Path], older: dict[Path, Path]) -> None:
    """Older files stand again as they were; where there was none, there is none."""
    for target in placed:
        try:
            _put_back(target, older.get(target))
        except OSError as error:
            kept = older.pop(target, None)  # the only copy there is: it must stay
            raise ExportError(
                f"{target} could not be put back: {_why(error)}; "
                f"what it held is in {kept or 'no other file'}"
            ) from error


def _keep(target: Path, kept: Path) -> None:
    """A second name for an older file, or a copy where the disk knows no second names."""
    try:
        kept.hardlink_to(target)
    except OSError:
        shutil.copy2(target, kept)


def _put_back(target: Path, kept: Path | None) -> None:
    """The older file again, or none where there was none."""
    if kept is None:
        target.unlink(missing_ok=True)
        return
    if target.exists() and target.samefile(kept):
        return  # the rename failed before it did anything
    try:
        os.replace(kept, target)  # noqa: PTH105 - as above
    except OSError:
        shutil.copy2(kept, target)


@contextmanager
def _made(folder: Path) -> Iterator[None]:
    """The folder, with those above it; what was made goes again when the block fails."""
    missing: list[Path] = []
    try:
        missing = [path for path in (folder, *folder.parents) if not path.exists()]
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        _unmake(missing)
        raise ExportError(f"the folder {folder} could not be made: {_why(error)}") from error
    try:
        yield
    except BaseException:
        _unmake(missing)
        raise


def _unmake(folders: Iterable[Path]) -> None:
    for path in folders:
        with suppress(OSError, ValueError):
            path.rmdir()


@contextmanager
def _tidied(paths: Iterable[Path]) -> Iterator[None]:
    """Whatever happens, nothing half written stays behind."""
    try:
        yield
    finally:
        for path in paths:
            with suppress(OSError):
                path.unlink(missing_ok=True)


def _why(error: OSError | ValueError) -> str:
    """What the system says, in words a maker understands."""
    if isinstance(error, ValueError):
        return "its name has a character that no name may have"
    match error.errno:
        case errno.EACCES | errno.EPERM | errno.EROFS:
            return "the folder may not be written to"
        case errno.ENOSPC | errno.EDQUOT:
            return "there is no room left on the disk"
        case errno.EEXIST | errno.ENOTDIR:
            return "a file is in the way"
        case errno.ENAMETOOLONG:
            return "its name is too long"
        case _:
            return (error.strerror or str(error) or type(error).__name__).lower()

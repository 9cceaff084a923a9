"""Drawings given on the page: what is taken, what they are called, where they will lie."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Iterable, Mapping
from itertools import count
from pathlib import Path, PurePosixPath
from typing import Final

from loftline.errors import Fault, ProjectError
from loftline.project import MOST_DRAWING_BYTES, slug_of
from loftline.project.drawn_table import Files
from loftline.units import show

ENDINGS: Final = ("svg", "dxf")
LONGEST_NAME: Final = 200


def drawing_bytes(text: str) -> bytes:
    """A drawing as it was posted, in base64 (RFC 4648).

    Raises:
        ProjectError: where it is none, or too long to be read.
    """
    try:
        data = base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        raise _refused("what was given cannot be read") from None
    if not data:
        raise _refused("the drawing is empty")
    if len(data) > MOST_DRAWING_BYTES:
        says = f"the drawing has {len(data) / 1e6:.1f} MB; a drawing has at most "
        raise _refused(says + f"{MOST_DRAWING_BYTES // 10**6} MB")
    return data


def name_beside(given: str, data: bytes, folder: Path, kept: Iterable[Files]) -> str:
    """The name a drawing has in the project: plain, and no other drawing's.

    Args:
        given: what the file is called where it comes from; nothing of its folder is used.
        data: the drawing.
        folder: where the project file lies. A drawing of that name with other contents there is
            left alone: this one takes a number.
        kept: drawings that the project names, or named before.

    Raises:
        ProjectError: where its ending is none of a drawing's.
    """
    last = PurePosixPath(given.replace("\\", "/")[-LONGEST_NAME:]).name
    stem, dot, ending = last.rpartition(".")
    ending = ending.casefold()
    if not dot or ending not in ENDINGS:
        raise _refused(f"found {show(last)}; should be a drawing that ends in .svg or .dxf")
    plain = slug_of(stem, "drawing")
    known = tuple(kept)
    for number in count(1):
        name = f"{plain}.{ending}" if number == 1 else f"{plain}-{number}.{ending}"
        others = (files.get(name, data) for files in known)
        if all(other == data for other in others) and on_disk(folder / name) in (None, data):
            return name
    raise AssertionError  # count has no end


def on_disk(path: Path) -> bytes | None:
    """What a file holds, as far as a drawing may reach; nothing where there is no file."""
    try:
        with path.open("rb") as file:
            return file.read(MOST_DRAWING_BYTES + 1)
    except FileNotFoundError:
        return None
    except OSError:
        return b""  # something is there that is no drawing


def to_write(given: Iterable[str], files: Files, folder: Path) -> Mapping[str, bytes]:
    """Drawings that do not lie beside the project file yet, or no longer as they were given."""
    found: dict[str, bytes] = {}
    for name in given:
        data = files.get(name)
        if isinstance(data, bytes) and on_disk(folder / name) != data:
            found[name] = data
    return found


def _refused(says: str) -> ProjectError:
    return ProjectError([Fault(where="", message=says)])

"""The keys of a motif in ``[[fills]]``, and the drawing they speak of."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import ValidationInfo

from loftline.project.drawn import Refusal
from loftline.project.drawn_table import Files
from loftline.project.faults import Slip, as_validation_error, listed
from loftline.project.given import Given
from loftline.project.motif_files import is_own_file, motif_bytes, motif_names
from loftline.project.motif_reading import read_motif
from loftline.project.motif_tile import Motif
from loftline.units import show


def motif_slips(given: Given) -> Iterator[Slip]:
    """A motif has a name, and a size instead of a spacing."""
    if not given.has("motif"):
        names = listed([show(name) for name in motif_names()])
        says = f"is missing; a motif has the name of one of ours, {names}, or of a drawing of your "
        yield Slip(("motif",), says + "own that ends in .svg")
    # a table that was read holds what its motif brings
    if given.has("spacing") and not isinstance(given.raw("motif"), Motif):
        says = "the lines of a motif lie as they are drawn; take spacing out, size makes the motif "
        yield Slip(("spacing",), says + "larger or smaller")


def motif_for(name: str, size: float | None, info: ValidationInfo) -> Motif:
    """The motif of a design, of ours or from the files that came along.

    Raises:
        ValidationError: with the one thing that is wrong with it.
    """
    try:
        data = _own(name, (info.context or {}).get("files", {}))
        return read_motif(name, motif_bytes(name) if data is None else data, size)
    except Refusal as refusal:
        raise as_validation_error([Slip((), refusal.says)]) from None


def _own(name: str, files: Files) -> bytes | None:
    if not is_own_file(name):
        return None
    data = files.get(name)
    if isinstance(data, Refusal):
        raise data
    if data is None:
        says = f"the drawing {show(name)} did not come along: read the project from its file with "
        says += "read_project, or give parse_project its bytes as files = {name: bytes}"
        raise Refusal("file", says)
    return data

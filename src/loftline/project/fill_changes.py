"""A fill with another pattern, spacing or angle, checked as if it had been written so."""

from __future__ import annotations

from collections.abc import Iterable

from pydantic import ValidationError

from loftline.errors import Fault, ProjectError
from loftline.project.faults import Slip, key_path, slips_of
from loftline.project.fill_table import PATTERN_KEYS, FillSpec, fill_slips
from loftline.project.given import Given
from loftline.project.motif_files import motif_names
from loftline.project.schema import Project
from loftline.project.work import capped


def changed_fill(
    fill: FillSpec,
    *,
    pattern: str | None = None,
    spacing: float | None = None,
    angle: float | None = None,
) -> FillSpec:
    """The fill with what is given.

    Where the pattern stays, all else stays; a grid's other families turn along. Another pattern
    keeps the part, the spacing, the stitch length and, where it has a direction, the first angle.

    Args:
        fill: as it was read.
        pattern: word of ``fills.pattern``, or the name of a motif of ours.
        spacing: mm.
        angle: degrees; left out of a pattern without direction.

    Raises:
        ProjectError: where such a fill could not be written; places are keys of the fill.
    """
    motif = pattern if pattern in motif_names() else None
    if motif is not None or pattern not in (None, fill.pattern):
        return _other_pattern(fill, pattern or "", motif, spacing, angle)
    angles = fill.angles
    if angle is not None and angles:
        turn = angle - angles[0]
        # a motif has a top and a bottom, a line has not
        round_again = 360.0 if fill.pattern == "motif" else 180.0
        angles = tuple((old + turn) % round_again for old in angles)
    else:
        angle = None
    slips = list(fill_slips(Given(_written(fill, spacing, angle), "mm")))
    if spacing is not None and fill.pattern == "motif":
        says = "the lines of a motif lie as they are drawn; its size is changed in the file"
        slips = [Slip(("spacing",), says)]
    if slips:
        raise ProjectError(_faults(slips))
    update: dict[str, object] = {"angles": angles}
    if angle is not None:
        update["setting"] = None
    if spacing is not None:
        # within the bounds of the key
        update["spacing"] = _read({"pattern": "echo", "spacing": spacing}).spacing
    # what was read from files stays as it is
    return fill.model_copy(update=update)


def work_faults(project: Project) -> list[Fault]:
    """Whether it asks for more work than is planned."""
    return _faults(capped(Given(project, "mm")))


def _written(fill: FillSpec, spacing: float | None, angle: float | None) -> dict[str, object]:
    """The keys of a fill as they would stand in a file, with what is given."""
    names = {name: field.alias or name for name, field in FillSpec.model_fields.items()}
    written = {names[name]: getattr(fill, name) for name in fill.model_fields_set}
    if spacing is not None:
        written["spacing"] = spacing
    if angle is not None:
        written.pop("setting", None)
        written["angle"] = angle
    return written


def _other_pattern(
    fill: FillSpec, pattern: str, motif: str | None, spacing: float | None, angle: float | None
) -> FillSpec:
    """A fill of the same part in another pattern, or of a motif."""
    written: dict[str, object] = {"part": fill.part, "pattern": pattern}
    if motif is not None:
        written |= {"pattern": "motif", "motif": motif}
    else:
        written["spacing"] = fill.spacing if spacing is None else spacing
    if fill.stitch_length is not None:
        written["stitch_length"] = fill.stitch_length
    if "angle" in PATTERN_KEYS.get(str(written["pattern"]), ()):
        own = fill.angles[0] if fill.angles and motif is None else None
        wanted = own if angle is None else angle
        if wanted is not None:
            written["angle"] = wanted
    return _read(written)


def _read(written: dict[str, object]) -> FillSpec:
    try:
        return FillSpec.model_validate(written, context={"units": "mm"})
    except ValidationError as error:
        raise ProjectError(_faults(slips_of(error))) from None


def _faults(slips: Iterable[Slip]) -> list[Fault]:
    return [Fault(where=key_path(slip.where), message=slip.says) for slip in dict.fromkeys(slips)]

"""How much work a project asks for, reckoned before any of it is done."""

from __future__ import annotations

import math
from collections.abc import Iterator

from loftline.project.faults import Slip
from loftline.project.fill_table import SETTINGS
from loftline.project.given import Given
from loftline.project.limits import (
    LARGEST_MM,
    MOST_CROSSINGS,
    MOST_PIECES,
    MOST_POINTS_IN_ALL,
    MOST_STITCHES,
)
from loftline.project.motif_tile import Motif
from loftline.project.region_table import region_area
from loftline.project.stitch_keys import LEAST_MM, MOST_MM, stitch_length_of
from loftline.units import Unit, format_length


def capped(given: Given) -> Iterator[Slip]:
    """Slips of a project that asks for more points, stitches or crossings than are planned."""
    outlines = [given.table("panel").raw("points")]
    holes = given.table("panel").raw("holes")
    outlines += list(holes) if isinstance(holes, list | tuple) else []
    outlines += [entry.raw("points") for entry in given.tables("keep_outs")]
    outlines += [entry.raw("points") for entry in given.tables("regions")]
    outlines += [entry.raw("points") for entry in given.table("panel").tables("darts")]
    corners = sum(len(outline) for outline in outlines if isinstance(outline, list | tuple))
    if corners > MOST_POINTS_IN_ALL:
        says = f"the outlines have {corners} points together; at most {MOST_POINTS_IN_ALL} are read"
        yield Slip((), says)
    yield from _pieces(given)
    usual = stitch_length_of(given.table("quilting"))
    stitches_left, crossings_left = float(MOST_STITCHES), float(MOST_CROSSINGS)
    for i, design in enumerate(given.tables("fills")):
        part = design.text("part", "all")
        area = _area(given.table("panel"), part)
        own = region_area(given, part)
        if own is not None:
            area = own if area is None else min(area, own)
        spacing = design.length("spacing", 12.0)
        motif, drawn = design.raw("motif"), design.text("pattern") == "motif"
        if drawn and not isinstance(motif, Motif):
            # how dense it is shows once its drawing is read
            continue
        if area is None or spacing is None or not (drawn or 1 <= spacing <= 1000):
            continue
        stitch = stitch_length_of(design, usual)
        if stitch is None or not LEAST_MM <= stitch <= MOST_MM:
            continue
        families, pairs = _families(design)
        stitches = families * area / spacing / stitch
        crossings = pairs * area / spacing**2
        if stitches > stitches_left or crossings > crossings_left:
            high = motif.height if isinstance(motif, Motif) else None
            says = _too_much(stitches, crossings, spacing, given, high)
            yield Slip(("fills", i, "size" if drawn else "spacing"), says)
            continue
        stitches_left -= stitches
        crossings_left -= crossings


def _pieces(given: Given) -> Iterator[Slip]:
    """A slip at the entry that brings more pieces of hardware than are placed.

    A row that only says how far apart its pieces are is counted once its edge is known.
    """
    pieces = 0
    for i, entry in enumerate(given.tables("hardware")):
        count = entry.table("at").number("count")
        pieces += int(count) if count is not None and 1 <= count <= MOST_PIECES else 1
        if pieces > MOST_PIECES:
            says = f"the rows of hardware up to here have {pieces} pieces; at most {MOST_PIECES} "
            yield Slip(("hardware", i, "at"), says + "are placed on a panel")
            return


def _families(design: Given) -> tuple[float, int]:
    """Families of lines, and pairs of families that cross; others wind as often."""
    raw = design.raw("angle") if design.has("angle") else design.raw("angles")
    written = len(raw) if isinstance(raw, list | tuple) else 1
    families = 1
    if design.text("pattern") == "grid":
        setting = SETTINGS.get(design.text("setting") or "")
        families = len(setting) if setting else min(max(2, written), 3)
    pairs = families * (families - 1) // 2
    winds = design.text("pattern") in {"meander", "motif"}
    return families * _lengthened(design), 1 if winds else pairs


def _lengthened(design: Given) -> float:
    """How much more line the keys of a channel ask for, at most."""
    if design.text("pattern") != "channel":
        return 1.0
    height, long = design.size("wave_height", 0.0), design.size("wave_length")
    # a wave is shorter than its way up and down again and its way along together
    waved = 1.0 + 2 * height / long if height and long else 1.0
    return waved * (2.0 if design.has("paired") else 1.0)


def _too_much(
    stitches: float, crossings: float, spacing: float, given: Given, high: float | None
) -> str:
    """Sentence that names the work, the cap and a spacing, or height, that keeps well within it."""
    factor = max(stitches / MOST_STITCHES, math.sqrt(crossings / MOST_CROSSINGS), 1.0)
    wider = format_length(math.ceil((high or spacing) * factor), given.units)
    mend = "space the lines wider" if high is None else "make the motif larger"
    asked = f"{_count(stitches)} stitches"
    if crossings > 0:
        asked += f" and {_count(crossings)} crossings or bends"
    held = f"{_count(MOST_STITCHES)} stitches and {_count(MOST_CROSSINGS)} crossings"
    return (
        f"{format_length(spacing, given.units)} over this panel asks for about {asked}; all fills "
        f"of a plan may have {held} together: {mend}, {wider} for this fill alone"
    )


def _count(number: float) -> str:
    if number >= 1e6:
        return f"{number / 1e6:.3g} million"
    return f"{round(number, -3 if number >= 1e4 else 0):.0f}"


def _area(given: Given, part: str | None) -> float | None:
    """Square mm that a fill of the part covers at most, overhang included."""
    shape, width = given.text("shape"), given.size("width")
    around = 2 * (given.length("overhang", 25.0) or 0.0)
    height = given.size("height")
    if shape == "folded pouch":
        body, flap = given.size("body"), given.size("flap")
        if body is None or flap is None:
            return None
        height = {"front": body, "back": body, "flap": flap}.get(part or "all", 2 * body + flap)
    elif shape == "flat sleeve":
        body = given.size("body")
        height = None if body is None else body if part in {"front", "back"} else 2 * body
    elif shape == "strap":
        width, height = given.size("length"), width
    elif shape == "polygon":
        corners = given.raw("points")
        if not isinstance(corners, list | tuple) or len(corners) > MOST_POINTS_IN_ALL:
            return None
        width, height = (_extent(corners, axis, given.units) for axis in (0, 1))
    if width is None or height is None:
        return None
    sides = width + around, height + around
    if not all(0 < side <= 3 * LARGEST_MM for side in sides):
        return None
    return sides[0] * sides[1] * (math.pi / 4 if shape == "ellipse" else 1.0)


def _extent(corners: list[object] | tuple[object, ...], axis: int, units: Unit) -> float | None:
    values = [
        Given({"c": corner[axis]}, units).length("c")
        for corner in corners
        if isinstance(corner, list | tuple) and len(corner) == 2
    ]
    known = [value for value in values if value is not None]
    return max(known) - min(known) if known else None

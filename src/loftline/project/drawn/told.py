"""What was found in a drawing and what was not used, one sentence each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt
from shapely import Polygon

from loftline.project.drawn.drawing import DrawnFold, DrawnZone, Point
from loftline.project.drawn.outline import Outline
from loftline.project.drawn.places import at
from loftline.units import show

_MOST_NAMES = 4
_WINDOW_SHARE = 0.5


def found(
    name: str,
    unit: str,
    outline: Outline,
    folds: Sequence[DrawnFold],
    keep_outs: Sequence[DrawnZone],
    parts: Sequence[DrawnZone],
) -> str:
    """What was found: the size first, which tells a wrong unit."""
    polygon = outline.polygon
    low_x, low_y, high_x, high_y = polygon.bounds
    words = [
        _counted(len(polygon.interiors), "hole"),
        _counted(len(folds), "fold", [fold.name for fold in folds]),
        _counted(len(keep_outs), "keep-out", [zone.name for zone in keep_outs]),
        _counted(len(parts), "part", [part.name for part in parts]),
    ]
    words = [word for word in words if word]
    # "0" is where all lines of a DXF drawing lie that were put on no layer
    called = f" from {show(outline.called)}" if outline.called not in {"", "0"} else ""
    size = f"{high_x - low_x:.1f} by {high_y - low_y:.1f} mm"
    says = f"{show(name)} holds an outline of {size}{called}"
    says += f" with {_and(words)}" if words else ""
    shift = np.array([low_x, low_y])
    return "; ".join([says, unit, *_window(polygon), *_closed(outline, shift)])


def not_used(ignored: Mapping[tuple[str, str], int]) -> str:
    """What was left out; empty when nothing was."""
    words = [f"{n} {one if n == 1 else several}" for (one, several), n in ignored.items() if n]
    return f"not used: {_and(words)}" if words else ""


def _counted(count: int, noun: str, names: Sequence[str] = ()) -> str:
    """How many of what, with the first names; empty for none.

    >>> _counted(2, "part", ["front", "back"])
    '2 parts ("front", "back")'
    """
    if not count:
        return ""
    more = ", ..." if len(names) > _MOST_NAMES else ""
    shown = ", ".join(show(name) for name in names[:_MOST_NAMES])
    return f"{count} {noun if count == 1 else noun + 's'}" + (f" ({shown}{more})" if names else "")


def _window(polygon: Polygon) -> list[str]:
    """A seam line drawn inside the cut line would be read as one huge hole."""
    largest = max((Polygon(ring).area for ring in polygon.interiors), default=0.0)
    share = largest / Polygon(polygon.exterior).area
    if share < _WINDOW_SHARE:
        return []
    says = f"a hole takes up {100 * share:.0f} % of it: if that line is no hole, name the "
    return [says + "outline by a layer or id of its own"]


def _closed(outline: Outline, shift: npt.NDArray[np.float64]) -> list[str]:
    says = []
    if outline.gaps:
        width, spot = max(outline.gaps)
        several = f"{len(outline.gaps)} gaps were closed, the widest"
        one = several if len(outline.gaps) > 1 else "a gap was closed,"
        says.append(f"{one} {width:.2f} mm at {_from(spot, shift)}")
    if outline.loops:
        several = f"{len(outline.loops)} loops or spikes too small to cut were left out, the first"
        one = (
            several if len(outline.loops) > 1 else "a loop or spike too small to cut was left out,"
        )
        says.append(f"{one} at {_from(outline.loops[0], shift)}")
    if outline.touches:
        spots = [_from(spot, shift) for spot in outline.touches]
        more = f" and at {len(spots) - 1} more places" if len(spots) > 1 else ""
        says.append(f"the line touches itself at {spots[0]}{more}; what it shuts in is a hole")
    if outline.left_open is not None:
        start, end = outline.left_open
        gap = float(np.hypot(*np.subtract(end, start)))
        says.append(
            f"the open line from {_from(start, shift)} to {_from(end, shift)} is no hole: its "
            f"ends lie {gap:.1f} mm apart"
        )
    return says


def _from(spot: Point, shift: npt.NDArray[np.float64]) -> str:
    return at(np.array(spot) - shift)


def _and(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"

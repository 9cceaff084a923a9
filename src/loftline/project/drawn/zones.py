"""Folds, keep-outs and parts of a drawing, each from its layer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon

from loftline.project.drawn.drawing import DrawnFold, DrawnZone, Refusal, Stroke, Wanted
from loftline.project.drawn.joining import join
from loftline.project.drawn.limits import TIDY_MM
from loftline.project.drawn.names import free
from loftline.project.drawn.outline import OUTSIDE
from loftline.project.drawn.places import at, pair, trouble_of
from loftline.project.limits import MOST_PIECES
from loftline.units import show

Floats = npt.NDArray[np.float64]

_STRAIGHT_MM = 0.1


def drawn_folds(
    strokes: Sequence[Stroke],
    outline: Polygon,
    shift: Floats,
    ignored: Counter[tuple[str, str]],
) -> tuple[DrawnFold, ...]:
    """Straight lines that meet the outline, named."""
    taken: set[str] = set()
    found: list[DrawnFold] = []
    for stroke in strokes:
        points = stroke.points - shift
        line = shapely.LineString(points)
        if not line.intersects(outline):
            ignored[OUTSIDE] += 1
            continue
        chord = shapely.LineString(points[[0, -1]])
        own = stroke.own or "fold"
        off = shapely.distance(chord, shapely.points(points)).max() if chord.length else np.inf
        if stroke.closed or off > _STRAIGHT_MM:
            raise Refusal(
                "folds",
                f"the fold {show(own)} at {at(points[0])} is not straight; a fold is "
                "one straight line from edge to edge",
            )
        if len(found) >= MOST_PIECES:
            raise Refusal("folds", f"the drawing holds more than {MOST_PIECES} folds")
        found.append(DrawnFold(name=free(own, taken), start=pair(points[0]), end=pair(points[-1])))
    return tuple(found)


def drawn_zones(
    key: str,
    pools: Mapping[str, list[Stroke]],
    wanted: Wanted,
    outline: Polygon,
    shift: Floats,
    ignored: Counter[tuple[str, str]],
) -> tuple[DrawnZone, ...]:
    """Closed lines of a layer as named areas."""
    if key not in pools:
        return ()
    rings, chains = join(pools[key], by_layer=False)
    if chains:
        points = chains[0].points - shift
        apart = float(np.hypot(*(points[0] - points[-1])))
        raise Refusal(
            key,
            f"a line on this layer is open: its ends lie {apart:.1f} mm apart, at "
            f"{at(points[0])} and {at(points[-1])} on the panel",
        )
    layer = wanted.layers()[key]
    taken: set[str] = {"all"} if key == "parts" else set()
    found: list[DrawnZone] = []
    for ring in rings:
        area = Polygon(ring.points - shift)
        if not area.is_valid or not area.area:
            what = f"the line {show(ring.stroke.own or layer)}"
            raise Refusal(key, trouble_of(area, outline, what, "crosses or touches itself"))
        if not shapely.area(shapely.intersection(area, outline)):
            ignored[OUTSIDE] += 1
            continue
        if len(found) >= MOST_PIECES:
            raise Refusal(key, f"the drawing holds more than {MOST_PIECES} areas on this layer")
        tidy = shapely.simplify(area, TIDY_MM)
        own = ring.stroke.own
        name = own if own and own.casefold() != layer.casefold() else ""
        found.append(DrawnZone(name=free(name or f"{layer} {len(found) + 1}", taken), area=tidy))
    return tuple(found)

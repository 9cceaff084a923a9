"""The outline of a drawing with its holes: the largest closed line, and those inside it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from shapely import Polygon

from loftline.project.drawn.drawing import Point, Refusal, Stroke, Wanted
from loftline.project.drawn.joining import Chain, Ring, join
from loftline.project.drawn.limits import (
    GAP_MM,
    LEAST_ACROSS_MM,
    LEAST_SIDE_MM,
    MOST_INSIDE,
    SAME_LINE_MM,
    TIDY_MM,
)
from loftline.project.drawn.mending import Mended, mended
from loftline.project.drawn.places import at, pair, trouble_of
from loftline.project.limits import LARGEST_MM, MOST_HOLES

CLOSED: Final = ("closed line that is none of these", "closed lines that are none of these")
OPEN: Final = ("open line", "open lines")
OTHER_LAYER: Final = ("line of another layer", "lines of other layers")
OUTSIDE: Final = ("thing outside the outline", "things outside the outline")

_MOST_TRIED = 50

_LEAST_MEANT_MM2 = 10.0
"""An open line that goes round less, as a stroke of a letter does, is not told by its place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """The outline in the drawing's own place, with its holes.

    Attributes:
        called: its own name, or that of its layer; empty when it has none.
        gaps: how wide the gaps were that were closed, and where.
        loops: where loops and spikes too small to cut were left out.
        touches: where it touches itself and shuts in a hole.
        left_open: both ends of the largest open line that may be meant as a hole.
    """

    polygon: Polygon
    called: str
    gaps: tuple[tuple[float, Point], ...]
    loops: tuple[Point, ...]
    touches: tuple[Point, ...]
    left_open: tuple[Point, Point] | None = None


def find_outline(
    pools: Mapping[str, list[Stroke]], ignored: Counter[tuple[str, str]], wanted: Wanted
) -> Outline:
    """The largest closed line with the closed lines inside it.

    Args:
        pools: the drawing's lines by the key that asks for their layer; the others under
            ``rest``.
        ignored: what was left out; added to.
        wanted: what was asked for.

    Raises:
        Refusal: there is none, it is open, crosses itself, or is no panel's size.
    """
    named = "outline" in pools
    key = "outline" if named else "file"
    rings, chains = join(pools["outline" if named else "rest"], by_layer=not named)
    if named:
        ignored[OTHER_LAYER] += len(pools["rest"])
    largest, shell = _largest(rings)
    _no_larger_chain(chains, rings[largest] if rings else None, key)
    ignored[OPEN] += len(chains)
    ring = rings[largest]
    if shell is None:
        area = Polygon(ring.points)
        raise Refusal(key, trouble_of(area, area, "the outline", "crosses or touches itself"))
    _sizes(shell.area, wanted)
    others = rings[:largest] + rings[largest + 1 :]
    if "holes" in pools:
        ignored[CLOSED] += len(others)
        others, open_ones = join(pools["holes"], by_layer=False)
        ignored[OPEN] += len(open_ones)
        chains = [*chains, *open_ones]
    holes = _holes(shell.area, others, ignored, key="holes" if "holes" in pools else key)
    areas = [shell, *(hole for _, hole in holes)]
    inner = [shell.area.interiors, *([hole.area.exterior] for _, hole in holes)]
    whole = Polygon(shell.area.exterior, [line for group in inner for line in group])
    if not whole.is_valid:
        says = trouble_of(whole, shell.area, "the outline and its holes", "cross or touch")
        raise Refusal(key, says)
    tidy = shapely.simplify(whole, TIDY_MM)
    return Outline(
        polygon=tidy if tidy.is_valid and tidy.area > 0 else whole,
        called=ring.stroke.own or ring.stroke.layer,
        gaps=ring.gaps + tuple(gap for hole, _ in holes for gap in hole.gaps),
        loops=tuple(spot for area in areas for spot in area.loops),
        touches=tuple(spot for area in areas for spot in area.touches),
        left_open=_left_open(chains),
    )


def _largest(rings: Sequence[Ring]) -> tuple[int, Mended | None]:
    """Which closed line encloses most, and its area; ``None`` where that one crosses itself.

    One that crosses itself counts with its hull, so that no smaller one takes its place
    unseen.
    """
    lines = [shapely.LineString(ring.points) for ring in rings]
    hulls = shapely.area(shapely.convex_hull(lines)).tolist()
    order = sorted(range(len(rings)), key=lambda i: -hulls[i])
    best, shell, most = -1, None, -1.0
    for tried, i in enumerate(order):
        if hulls[i] <= most:
            break
        found = mended(rings[i].points) if tried < _MOST_TRIED else None
        size = hulls[i] if found is None else found.area.area
        if size > most:
            best, shell, most = i, found, size
    return best, shell


def _no_larger_chain(chains: Sequence[Chain], ring: Ring | None, key: str) -> None:
    """An open line that would enclose more than the outline is the outline, left open."""
    chains = [chain for chain in chains if np.ptp(chain.points, axis=0).max() > GAP_MM]
    sizes = _hulls([chain.points for chain in chains])
    if ring is None and not chains:
        raise Refusal(key, "the drawing holds no closed line that could be the outline")
    if not sizes or (ring is not None and max(sizes) <= _hulls([ring.points])[0]):
        return
    points = chains[int(np.argmax(sizes))].points
    apart = float(np.hypot(*(points[0] - points[-1])))
    low = points.min(axis=0)
    raise Refusal(
        key,
        f"the outline is open: its ends lie {apart:.1f} mm apart, at {at(points[0] - low)} and "
        f"{at(points[-1] - low)} mm from its lower left corner; join them",
    )


def _left_open(chains: Sequence[Chain]) -> tuple[Point, Point] | None:
    """Of a line that encloses something, and so may be meant as a hole."""
    sizes = _hulls([chain.points for chain in chains])
    if not sizes or max(sizes) < _LEAST_MEANT_MM2:
        return None
    points = chains[int(np.argmax(sizes))].points
    return pair(points[0]), pair(points[-1])


def _hulls(lines: Sequence[np.typing.NDArray[np.float64]]) -> list[float]:
    hulls = shapely.convex_hull([shapely.LineString(points) for points in lines])
    return [float(size) for size in shapely.area(hulls)]


def _sizes(outline: Polygon, wanted: Wanted) -> None:
    low_x, low_y, high_x, high_y = outline.bounds
    width, height = high_x - low_x, high_y - low_y
    small = max(width, height) <= LARGEST_MM
    wide, high = (f"{side:.4g}" if small else f"{side:,.0f}" for side in (width, height))
    size = f"the outline is {wide} by {high} mm"
    hint = f'is the unit right? Set unit = "mm", "cm" or "in"{" anew" if wanted.unit else ""}'
    if not small:
        raise Refusal("file", f"{size}; a panel is at most {LARGEST_MM:g} mm across: {hint}")
    if max(width, height) < LEAST_SIDE_MM or min(width, height) < LEAST_ACROSS_MM:
        raise Refusal("file", f"{size}, too small for a panel: {hint}")


def _holes(
    shell: Polygon, others: list[Ring], ignored: Counter[tuple[str, str]], key: str
) -> list[tuple[Ring, Mended]]:
    """Closed lines inside the outline and in no other."""
    areas = np.array([Polygon(ring.points) for ring in others], dtype=object)
    if not len(areas):
        return []
    shapely.prepare(shell)
    inside = shapely.contains_properly(shell, areas)
    away = ~shapely.intersects(shell, areas)
    _no_crossing(shell, areas[~inside & ~away].tolist(), key)
    ignored[OUTSIDE] += int(away.sum())
    places = np.flatnonzero(inside).tolist()
    if len(places) > MOST_INSIDE:  # each may lie in all others
        raise Refusal(key, _too_many(len(places)))
    if len(places) > 1:
        kept = areas[places]
        inner, outer = shapely.STRtree(kept).query(kept, predicate="within")
        first = np.minimum(inner, outer) < inner  # of two alike the first stays
        alike = shapely.equals(kept[inner], kept[outer])
        nested = set(inner[(inner != outer) & (~alike | first)].tolist())
        ignored[CLOSED] += len(nested)
        places = [place for i, place in enumerate(places) if i not in nested]
    if len(places) > MOST_HOLES:
        raise Refusal(key, _too_many(len(places)))
    found = [(others[i], mended(others[i].points), areas[i]) for i in places]
    for _, hole, area in found:
        if hole is None:
            raise Refusal(key, trouble_of(area, shell, "a hole", "crosses or touches itself"))
    return [(ring, hole) for ring, hole, _ in found if hole is not None]


def _too_many(count: int) -> str:
    return (
        f"{count} closed lines lie inside the outline; at most {MOST_HOLES} holes are read: name "
        "the layers that count in [panel.drawn]"
    )


def _no_crossing(shell: Polygon, areas: Sequence[Polygon], key: str) -> None:
    """No closed line may lie across the outline's edge, but on it where it is drawn twice."""
    for area in areas:
        if shapely.hausdorff_distance(shell.exterior, area.exterior) < 2 * SAME_LINE_MM:
            continue
        crossing = shapely.get_coordinates(shapely.intersection(shell.exterior, area.exterior))
        spot = crossing[0] if len(crossing) else shapely.get_coordinates(area)[0]
        raise Refusal(
            key,
            f"a closed line crosses or touches the outline at {at(spot - shell.bounds[:2])} mm "
            "from its lower left corner; draw it apart, or name the layers that count in "
            "[panel.drawn]",
        )

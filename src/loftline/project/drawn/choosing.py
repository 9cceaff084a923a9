"""Which lines of a drawing are the outline, its holes, folds, keep-outs and parts."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import translate

from loftline.project.drawn.drawing import (
    Drawing,
    DrawnFold,
    DrawnZone,
    Point,
    Refusal,
    Sheet,
    Stroke,
    Wanted,
)
from loftline.project.drawn.joining import Chain, Ring, join
from loftline.project.drawn.limits import GAP_MM, LEAST_SIDE_MM, TIDY_MM
from loftline.project.drawn.names import free
from loftline.project.limits import (
    LARGEST_MM,
    MOST_HOLES,
    MOST_PIECES,
    MOST_POINTS,
    MOST_POINTS_IN_ALL,
)
from loftline.units import show

_STRAIGHT_MM = 0.1
_SLIVER_MM = 0.05
_OPEN = ("open line", "open lines")
_CLOSED = ("closed line that is none of these", "closed lines that are none of these")
_OUTSIDE = ("thing outside the outline", "things outside the outline")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Outline:
    """The outline in the drawing's own place, with its holes."""

    polygon: Polygon
    ring: Ring
    gaps: tuple[tuple[float, Point], ...]


def choose(name: str, data: bytes, sheet: Sheet, wanted: Wanted) -> Drawing:
    """Find the outline and what lies on it.

    Raises:
        Refusal: no closed outline, one that crosses itself, a layer that is not there.
    """
    if not sheet.strokes:
        raise Refusal("file", "the drawing holds no lines")
    ignored: Counter[tuple[str, str]] = Counter(sheet.ignored)
    pools = _pools(sheet.strokes, wanted)
    outline = _outline(pools, ignored)
    shift = np.array(outline.polygon.bounds[:2])
    _sizes(outline.polygon, wanted)
    drawn = translate(outline.polygon, *(-shift))
    folds = _folds(pools.get("folds", []), drawn, shift, ignored)
    keep_outs = _zones("keep_outs", pools, wanted, drawn, shift, ignored)
    parts = _zones("parts", pools, wanted, drawn, shift, ignored)
    _points(drawn, keep_outs, parts)
    return Drawing(
        name=name,
        outline=drawn,
        folds=folds,
        keep_outs=keep_outs,
        parts=parts,
        found=_found(name, drawn, folds, keep_outs, parts, sheet.unit, outline, shift),
        ignored=_listed(ignored),
        data=data,
    )


def _pools(strokes: Sequence[Stroke], wanted: Wanted) -> dict[str, list[Stroke]]:
    """Lines by key; under ``rest`` those that no key asks for."""
    layers = wanted.layers()
    pools: dict[str, list[Stroke]] = {key: [] for key in (*layers, "rest")}
    keys: dict[str, str] = {}
    for key, name in layers.items():
        keys.setdefault(name.casefold(), key)
    if len(keys) < len(layers):
        twice = next(key for key, name in layers.items() if keys[name.casefold()] != key)
        raise Refusal(twice, f"names the same layer as {keys[layers[twice].casefold()]}")
    for stroke in strokes:
        key = next((keys[n.casefold()] for n in stroke.names if n.casefold() in keys), "rest")
        pools[key].append(stroke)
    known = list(dict.fromkeys(name for stroke in strokes for name in stroke.names))
    for key, name in layers.items():
        if not pools[key]:
            near = difflib.get_close_matches(name, known[:500], 1)
            guess = f"did you mean {show(near[0])}? " if near else ""
            some = ", ".join(show(n) for n in known[:6])
            has = f"it has {some}" if known else "it has no names at all"
            raise Refusal(
                key,
                f"found {show(name)}; no line lies on such a layer or has such an id: "
                f"{guess}{has}{' and more' if len(known) > 6 else ''}",
            )
    return pools


def _outline(pools: dict[str, list[Stroke]], ignored: Counter[tuple[str, str]]) -> _Outline:
    """The largest closed line, and those inside it."""
    named = "outline" in pools
    key = "outline" if named else "file"
    rings, chains = join(pools["outline" if named else "rest"], by_layer=not named)
    if named:
        ignored[_CLOSED if pools["rest"] else _OPEN] += len(pools["rest"])
    # of hulls: a line that crosses itself may enclose as much to the left as to the right
    hulls = shapely.convex_hull([shapely.LineString(ring.points) for ring in rings])
    areas = shapely.area(hulls).tolist()
    largest = int(np.argmax(areas)) if areas else -1
    _no_larger_chain(chains, rings[largest] if areas else None, key)
    ignored[_OPEN] += len(chains)
    ring = rings[largest]
    shell = Polygon(ring.points)
    _simple(shell, shell, "the outline", key)
    others = rings[:largest] + rings[largest + 1 :]
    gaps = ring.gaps
    if "holes" in pools:
        ignored[_CLOSED] += len(others)
        others, open_ones = join(pools["holes"], by_layer=False)
        ignored[_OPEN] += len(open_ones)
    holes = _holes(shell, others, ignored, key="holes" if "holes" in pools else key)
    gaps += tuple(gap for hole in holes for gap in hole.gaps)
    whole = Polygon(ring.points, [hole.points for hole in holes])
    _simple(whole, shell, "the outline and its holes", key)
    tidy = shapely.simplify(whole, TIDY_MM)
    polygon = tidy if tidy.is_valid and tidy.area > 0 else whole
    return _Outline(polygon=polygon, ring=ring, gaps=gaps)


def _no_larger_chain(chains: Sequence[Chain], ring: Ring | None, key: str) -> None:
    """An open line larger than the outline is the outline, left open."""
    chains = [chain for chain in chains if np.ptp(chain.points, axis=0).max() > GAP_MM]
    boxes = [float(np.prod(np.ptp(chain.points, axis=0))) for chain in chains]
    if ring is None and not chains:
        raise Refusal(key, "the drawing holds no closed line that could be the outline")
    if not boxes or (ring is not None and max(boxes) <= np.prod(np.ptp(ring.points, axis=0))):
        return
    points = chains[int(np.argmax(boxes))].points
    apart = float(np.hypot(*(points[0] - points[-1])))
    low = points.min(axis=0)
    raise Refusal(
        key,
        f"the outline is open: its ends lie {apart:.1f} mm apart, at {_at(points[0] - low)} and "
        f"{_at(points[-1] - low)} mm from its lower left corner; join them",
    )


def _holes(
    shell: Polygon, others: list[Ring], ignored: Counter[tuple[str, str]], key: str
) -> list[Ring]:
    """Closed lines inside the outline and in no other."""
    areas = np.array([Polygon(ring.points) for ring in others], dtype=object)
    if not len(areas):
        return []
    shapely.prepare(shell)
    low = np.array(shell.bounds[:2])
    inside = shapely.contains_properly(shell, areas)
    away = ~shapely.intersects(shell, areas)
    for i in np.flatnonzero(~inside & ~away).tolist():
        crossing = shapely.intersection(shell.exterior, areas[i].exterior)
        same = shapely.hausdorff_distance(shell.exterior, areas[i].exterior) < 2 * _SLIVER_MM
        if same:  # the outline drawn twice, as a line and as an area
            continue
        place = shapely.get_coordinates(crossing)
        spot = (place[0] if len(place) else others[i].points[0]) - low
        raise Refusal(
            key,
            f"a closed line crosses or touches the outline at {_at(spot)} mm from its lower left "
            "corner; draw it apart, or name the layers that count in [panel.drawn]",
        )
    ignored[_OUTSIDE] += int(away.sum())
    found = [others[i] for i in np.flatnonzero(inside).tolist()]
    kept = areas[inside]
    for area in kept:
        _simple(area, shell, "a hole", key)
    if len(kept) > 1:
        tree = shapely.STRtree(kept)
        inner, outer = tree.query(kept, predicate="within")
        first = np.minimum(inner, outer) < inner  # of two alike the first stays
        alike = shapely.equals(kept[inner], kept[outer])
        nested = set(inner[(inner != outer) & (~alike | first)].tolist())
        ignored[_CLOSED] += len(nested)
        found = [ring for i, ring in enumerate(found) if i not in nested]
    if len(found) > MOST_HOLES:
        raise Refusal(
            key,
            f"{len(found)} closed lines lie inside the outline; at most {MOST_HOLES} holes "
            "are read: name the layers that count in [panel.drawn]",
        )
    return found


def _simple(area: Polygon, shell: Polygon, what: str, key: str) -> None:
    if area.is_valid and area.area > 0:
        return
    reason = shapely.is_valid_reason(area)
    _, _, rest = reason.partition("[")
    if not rest:
        raise Refusal(key, f"{what} holds no area")
    spot = np.array([float(number) for number in rest.rstrip("]").split()])
    verb = "cross or touch" if "holes" in what else "crosses or touches itself"
    raise Refusal(
        key,
        f"{what} {verb} at {_at(spot - np.array(shell.bounds[:2]))} mm from the outline's "
        "lower left corner",
    )


def _sizes(outline: Polygon, wanted: Wanted) -> None:
    low_x, low_y, high_x, high_y = outline.bounds
    width, height = high_x - low_x, high_y - low_y
    size = f"the outline is {width:.4g} by {height:.4g} mm"
    hint = f'is the unit right? Set unit = "mm", "cm" or "in"{" anew" if wanted.unit else ""}'
    if max(width, height) > LARGEST_MM:
        raise Refusal("file", f"{size}; a panel is at most {LARGEST_MM:g} mm across: {hint}")
    if max(width, height) < LEAST_SIDE_MM:
        raise Refusal("file", f"{size}, too small for a panel: {hint}")


def _folds(
    strokes: Sequence[Stroke],
    outline: Polygon,
    shift: np.typing.NDArray[np.float64],
    ignored: Counter[tuple[str, str]],
) -> tuple[DrawnFold, ...]:
    taken: set[str] = set()
    found: list[DrawnFold] = []
    for stroke in strokes:
        points = stroke.points - shift
        line = shapely.LineString(points)
        if not line.intersects(outline):
            ignored[_OUTSIDE] += 1
            continue
        chord = shapely.LineString(points[[0, -1]])
        own = stroke.own or "fold"
        off = shapely.distance(chord, shapely.points(points)).max() if chord.length else np.inf
        if stroke.closed or off > _STRAIGHT_MM:
            raise Refusal(
                "folds",
                f"the fold {show(own)} at {_at(points[0])} is not straight; a fold is "
                "one straight line from edge to edge",
            )
        if len(found) >= MOST_PIECES:
            raise Refusal("folds", f"the drawing holds more than {MOST_PIECES} folds")
        found.append(
            DrawnFold(name=free(own, taken), start=_pair(points[0]), end=_pair(points[-1]))
        )
    return tuple(found)


def _zones(
    key: str,
    pools: dict[str, list[Stroke]],
    wanted: Wanted,
    outline: Polygon,
    shift: np.typing.NDArray[np.float64],
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
            f"{_at(points[0])} and {_at(points[-1])} on the panel",
        )
    layer = wanted.layers()[key]
    taken: set[str] = {"all"} if key == "parts" else set()
    found: list[DrawnZone] = []
    for ring in rings:
        area = Polygon(ring.points - shift)
        _simple(area, outline, f"the line {show(ring.stroke.own or layer)}", key)
        if not shapely.area(shapely.intersection(area, outline)):
            ignored[_OUTSIDE] += 1
            continue
        if len(found) >= MOST_PIECES:
            raise Refusal(key, f"the drawing holds more than {MOST_PIECES} areas on this layer")
        tidy = shapely.simplify(area, TIDY_MM)
        own = ring.stroke.own
        name = own if own and own.casefold() != layer.casefold() else ""
        found.append(DrawnZone(name=free(name or f"{layer} {len(found) + 1}", taken), area=tidy))
    return tuple(found)


def _points(outline: Polygon, *zones: tuple[DrawnZone, ...]) -> None:
    count = max(
        shapely.get_num_coordinates(ring) for ring in (outline.exterior, *outline.interiors)
    )
    if count > MOST_POINTS:
        raise Refusal(
            "file", f"the outline has {count} points; at most {MOST_POINTS} are read: simplify it"
        )
    areas = [zone.area for group in zones for zone in group]
    total = int(shapely.get_num_coordinates(np.array([outline, *areas], dtype=object)).sum())
    if total > MOST_POINTS_IN_ALL:
        raise Refusal(
            "file",
            f"the outlines have {total} points together; at most {MOST_POINTS_IN_ALL} are "
            "read: simplify them",
        )


def _found(
    name: str,
    outline: Polygon,
    folds: Sequence[DrawnFold],
    keep_outs: Sequence[DrawnZone],
    parts: Sequence[DrawnZone],
    unit: str,
    chosen: _Outline,
    shift: np.typing.NDArray[np.float64],
) -> str:
    """What was found, one sentence."""
    counts = (
        (len(outline.interiors), "hole", "holes"),
        (len(folds), "fold", "folds"),
        (len(keep_outs), "keep-out", "keep-outs"),
        (len(parts), "part", "parts"),
    )
    words = [f"{n} {one if n == 1 else several}" for n, one, several in counts if n]
    own = chosen.ring.stroke.own or chosen.ring.stroke.layer
    called = f" from {show(own)}" if own else ""
    size = f"{outline.bounds[2]:.1f} by {outline.bounds[3]:.1f} mm"
    says = f"{show(name)} holds an outline of {size}{called}"
    says += f" with {_and(words)}" if words else ""
    says += f"; {unit}"
    if chosen.gaps:
        width, spot = max(chosen.gaps)
        many = (
            f"{len(chosen.gaps)} gaps were closed, the widest"
            if len(chosen.gaps) > 1
            else ("a gap was closed,")
        )
        says += f"; {many} {width:.2f} mm at {_at(np.array(spot) - shift)}"
    return says


def _listed(ignored: Counter[tuple[str, str]]) -> str:
    words = [f"{n} {one if n == 1 else several}" for (one, several), n in ignored.items() if n]
    return f"not used: {_and(words)}" if words else ""


def _and(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _pair(point: Iterable[float]) -> Point:
    x, y = point
    return float(x), float(y)


def _at(point: Iterable[float]) -> str:
    x, y = point
    return f"({x:.1f}, {y:.1f})"

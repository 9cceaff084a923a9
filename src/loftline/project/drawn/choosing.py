"""Which lines of a drawing are the outline, its holes, folds, keep-outs and parts."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import translate

from loftline.project.drawn import told
from loftline.project.drawn.drawing import Drawing, DrawnZone, Refusal, Sheet, Stroke, Wanted
from loftline.project.drawn.limits import MOST_OUTLINE_POINTS
from loftline.project.drawn.outline import find_outline
from loftline.project.drawn.zones import drawn_folds, drawn_zones
from loftline.project.limits import MOST_POINTS_IN_ALL
from loftline.units import show


def choose(name: str, data: bytes, sheet: Sheet, wanted: Wanted) -> Drawing:
    """Find the outline and what lies on it.

    Raises:
        Refusal: no closed outline, one that crosses itself, a layer that is not there.
    """
    if not sheet.strokes:
        raise Refusal("file", "the drawing holds no lines")
    ignored: Counter[tuple[str, str]] = Counter(sheet.ignored)
    pools = _pools(sheet.strokes, wanted)
    outline = find_outline(pools, ignored, wanted)
    shift = np.array(outline.polygon.bounds[:2])
    drawn = translate(outline.polygon, *(-shift))
    folds = drawn_folds(pools.get("folds", []), drawn, shift, ignored)
    keep_outs = drawn_zones("keep_outs", pools, wanted, drawn, shift, ignored)
    parts = drawn_zones("parts", pools, wanted, drawn, shift, ignored)
    _points(drawn, keep_outs, parts)
    return Drawing(
        name=name,
        outline=drawn,
        folds=folds,
        keep_outs=keep_outs,
        parts=parts,
        found=told.found(name, sheet.unit, outline, folds, keep_outs, parts),
        ignored=told.not_used(ignored),
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


def _points(outline: Polygon, *zones: tuple[DrawnZone, ...]) -> None:
    count = max(
        shapely.get_num_coordinates(ring) for ring in (outline.exterior, *outline.interiors)
    )
    if count > MOST_OUTLINE_POINTS:
        raise Refusal(
            "file",
            f"the outline has {count} points; at most {MOST_OUTLINE_POINTS} are read: simplify it",
        )
    areas = [zone.area for group in zones for zone in group]
    total = int(shapely.get_num_coordinates(np.array([outline, *areas], dtype=object)).sum())
    if total > MOST_POINTS_IN_ALL:
        raise Refusal(
            "file",
            f"the outlines have {total} points together; at most {MOST_POINTS_IN_ALL} are "
            "read: simplify them",
        )

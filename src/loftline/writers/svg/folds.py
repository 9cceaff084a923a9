"""Folds of the flat panel: the line, what may not cross it, the strip without foam."""

from __future__ import annotations

import shapely

from loftline.geometry import only_polygons
from loftline.units import Unit
from loftline.values import ClosedTo, Fold, Panel
from loftline.writers.svg import style
from loftline.writers.svg.marks import Element, area_path, group, straight
from loftline.writers.svg.style import Scale
from loftline.writers.svg.wording import fine_length

CLOSED_WORDS: dict[ClosedTo, str] = {
    "quilting": "closed to quilting",
    "travel": "closed to travel",
    "both": "closed to quilting, travel",
}


def draw_folds(panel: Panel, scale: Scale) -> list[Element]:
    """The strips without foam, if there are any, and the fold lines over them."""
    gaps, folds = group("foam-gaps"), group("folds")
    for fold in panel.folds:
        if fold.gap > 0:
            strip = shapely.LineString([fold.start, fold.end]).buffer(
                fold.gap / 2, cap_style="flat"
            )
            inside = only_polygons(strip.intersection(panel.outline))
            gaps.add(area_path(inside, class_="foam-gap", **style.gap_look(scale)))
        look = (style.closed_fold_look if fold.closed_to != "nothing" else style.fold_look)(scale)
        folds.add(straight(fold.start, fold.end, class_="fold", **look))
    return [*([gaps] if any(fold.gap > 0 for fold in panel.folds) else []), folds]


def fold_words(fold: Fold, units: Unit) -> list[str]:
    """What is set for a fold, in short lines; nothing where all is as usual.

    >>> fold = Fold(name="lower fold", start=(0, 0), end=(9, 0), closed_to="travel", gap=6)
    >>> fold_words(fold, "mm"), fold_words(Fold(name="x", start=(0, 0), end=(9, 0)), "mm")
    (['closed to travel', 'foam gap 6 mm'], [])
    """
    lines = []
    if fold.closed_to != "nothing":
        lines.append(CLOSED_WORDS[fold.closed_to])
    more = [f"foam gap {fine_length(fold.gap, units)}"] if fold.gap > 0 else []
    more += ["creased"] if fold.crease else []
    more += ["bends square"] if fold.bends == "square" else []
    return [*lines, ", ".join(more)] if more else lines

"""All sizes of a bag within each other, each outline with dashes of its own."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from loftline.geometry import only_polygons
from loftline.values import Batch, Panel
from loftline.writers.sheets.drawing import FOLD, Drawing
from loftline.writers.sheets.ink import TEXT, Ink, edge, straight
from loftline.writers.sheets.placing import Label

DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (6.0, 1.5),
    (2.5, 1.2),
    (8.0, 1.5, 1.5, 1.5),
    (8.0, 1.5, 1.5, 1.5, 1.5, 1.5),
    (1.0, 1.0),
)
"""One for each size in turn; beyond six sizes only the name tells."""


APART = 3.0
"""Where an outline lies nearer to another than this (mm) it is not named."""


def size_ink(number: int) -> Ink:
    """How the outline of a size is drawn, counted from 0."""
    return Ink(width=0.5, dashes=DASHES[number % len(DASHES)])


def nested(batch: Batch, panels: Sequence[Panel]) -> Drawing:
    """Outlines and folds where the panels have them: lower left corners lie on each other.

    Args:
        batch: the sizes.
        panels: of each of them, as it lies under the needle.
    """
    curves, names, folds = [], [], []
    for number, (size, panel) in enumerate(zip(batch.sizes, panels, strict=True)):
        for fold in panel.folds:
            curves.append(straight(fold.start, fold.end, FOLD))
            near = shapely.LineString([fold.start, fold.end])
            says = f"{size.name}: {fold.name}"
            folds.append(Label(lines=(says,), near=near, lead=False, gap=0.6))
        curves.append(edge(panel.outline, size_ink(number)))
        others = [other.outline.exterior for other in panels if other is not panel]
        alone = shapely.difference(
            panel.outline.exterior, shapely.buffer(shapely.union_all(others), APART)
        )
        own = panel.outline.exterior if shapely.is_empty(alone) else alone
        names.append(Label(lines=(size.name,), near=own, bold=True, size=1.3 * TEXT, gap=0.8))
    return Drawing(
        area=only_polygons(shapely.union_all([panel.outline for panel in panels])),
        shapes=(),
        curves=tuple(curves),
        labels=(*names, *folds),
    )

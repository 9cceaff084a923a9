"""Motifs: a drawn tile repeated in rows over a field."""

from __future__ import annotations

import math

import numpy as np

from loftline.errors import Step
from loftline.fills.clipping import start_of
from loftline.fills.fill_lines import FillLines
from loftline.fills.motif.cell import make_cell
from loftline.fills.motif.choosing import families_apart, shapes_of, worth_sewing
from loftline.fills.motif.cutting import cut
from loftline.fills.motif.hooks import without_hooks
from loftline.fills.motif.laying import lay
from loftline.geometry import only_polygons
from loftline.project import FillSpec
from loftline.values import Field, Quality

__all__ = ["motif"]


def motif(field: Field, spec: FillSpec, _seed: int, _quality: Quality, step: Step) -> FillLines:
    """The motif's rows over a field, the middle of a tile at its centre.

    Where lines touch or cross they share a point exactly, and are of different families.
    """
    step("motif", 0, 1)
    none = FillLines.of([[]], [math.nan])
    region = only_polygons(field.region)
    if spec.motif is None or region.is_empty:
        return none
    laid = lay(make_cell(spec.motif), region, spec.angles[0], start_of(field, spec))
    if not len(laid.family):
        return none
    pieces = without_hooks(cut(laid, region), region)
    shapes = shapes_of(pieces)
    kept = np.flatnonzero(worth_sewing(pieces, shapes, field.outline))
    family = families_apart(pieces, shapes, laid.family[pieces.line])[kept]
    order = np.argsort(family, kind="stable")
    _, family = np.unique(family[order], return_inverse=True)
    return FillLines(
        curves=tuple(pieces.curves[k] for k in kept[order].tolist()),
        family=family.astype(np.int64),
        angle=np.full(len(order), math.nan),
        closed=pieces.closed[kept[order]],
    )

"""Shapes of bag panels beside the folded pouch: sleeve, boxed side, base, zip side, strap."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

import numpy as np
import shapely
from shapely import Polygon

from loftline.geometry import only_polygons, polygons
from loftline.panel.shape import Edge, Shape, need, rounded_box, upright_edges
from loftline.project import PanelSpec
from loftline.values import Fold, Part


def _flat_sleeve(spec: PanelSpec) -> Shape:
    """Front and back one above the other, one fold at the bottom of the bag."""
    width, body = need(spec.width), need(spec.body)
    return Shape(
        outline=shapely.box(0, 0, width, 2 * body),
        parts=(
            Part(name="front", area=shapely.box(0, 0, width, body)),
            Part(name="back", area=shapely.box(0, body, width, 2 * body)),
        ),
        folds=(Fold(name="lower fold", start=(0, body), end=(width, body)),),
        edges={
            "front edge": Edge(at=(width / 2, 0), inward=(0, 1)),
            "back edge": Edge(at=(width / 2, 2 * body), inward=(0, -1)),
            "left": Edge(at=(0, body), inward=(1, 0)),
            "right": Edge(at=(width, body), inward=(-1, 0)),
        },
    )


def _boxed_tote_side(spec: PanelSpec) -> Shape:
    """A side of a tote with a square of half the depth cut out of both bottom corners.

    The base is half the depth from its seam to the fold, so the fold lies a seam allowance above
    the squares, where the seams round them meet (geometry).
    """
    width, height, cut = need(spec.width), need(spec.height), need(spec.depth) / 2
    upper, lower = shapely.box(0, cut, width, height), shapely.box(cut, 0, width - cut, cut)
    outline = polygons(shapely.union(upper, lower))[0]
    level = cut + spec.seam_allowance
    side = shapely.box(0, level, width, height)
    return Shape(
        outline=outline,
        parts=(
            Part(name="side", area=side),
            Part(name="base", area=only_polygons(outline.difference(side))),
        ),
        folds=(Fold(name="base fold", start=(0, level), end=(width, level)),),
        edges=upright_edges(width, height)
        | {
            "left": Edge(at=(0, (cut + height) / 2), inward=(1, 0)),
            "right": Edge(at=(width, (cut + height) / 2), inward=(-1, 0)),
        },
    )


def _base(spec: PanelSpec) -> Shape:
    """A base with two straight sides and two half circles; round when both sizes are one."""
    width, height = need(spec.width), need(spec.height)
    return Shape(
        outline=rounded_box(width, height, min(width, height) / 2),
        edges=upright_edges(width, height),
    )


def _zip_pouch_side(spec: PanelSpec) -> Shape:
    """A rectangle whose two bottom corners are round; the zip runs along the top."""
    width, height, radius = need(spec.width), need(spec.height), spec.corner_radius
    tall = rounded_box(width, 2 * height, radius)
    outline = only_polygons(tall.intersection(shapely.box(0, 0, width, height)))
    edges = upright_edges(width, height)
    return Shape(
        outline=Polygon(np.asarray(polygons(outline)[0].exterior.coords)),
        edges={"zip edge": edges.pop("top"), **edges},
    )


def _strap(spec: PanelSpec) -> Shape:
    """A strip folded along its centre line."""
    length, width = need(spec.strap_length), need(spec.width)
    middle = width / 2
    return Shape(
        outline=shapely.box(0, 0, length, width),
        parts=(
            Part(name="front", area=shapely.box(0, 0, length, middle)),
            Part(name="back", area=shapely.box(0, middle, length, width)),
        ),
        folds=(Fold(name="centre fold", start=(0, middle), end=(length, middle)),),
        edges=upright_edges(length, width),
    )


BAG_SHAPES: Final[Mapping[str, Callable[[PanelSpec], Shape]]] = MappingProxyType(
    {
        "flat sleeve": _flat_sleeve,
        "boxed tote side": _boxed_tote_side,
        "base": _base,
        "zip pouch side": _zip_pouch_side,
        "strap": _strap,
    }
)

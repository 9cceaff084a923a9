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
from loftline.values import Fold, Part, Point


def _flat_sleeve(spec: PanelSpec) -> Shape:
    """Front and back one above the other, one fold at the bottom of the bag."""
    width, body = need(spec.width), need(spec.body)

    def across(point: Point) -> Point:
        return (point[0], 2 * body - point[1])

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
        facing={"front": ("back", across), "back": ("front", across)},
    )


def _boxed_tote_side(spec: PanelSpec) -> Shape:
    """A side of a tote with a square of half the depth cut out of both bottom corners."""
    width, height, cut = need(spec.width), need(spec.height), need(spec.depth) / 2
    side = shapely.box(0, cut, width, height)
    base = shapely.box(cut, 0, width - cut, cut)
    return Shape(
        outline=polygons(shapely.union(side, base))[0],
        parts=(Part(name="side", area=side), Part(name="base", area=base)),
        folds=(Fold(name="base fold", start=(cut, cut), end=(width - cut, cut)),),
        edges=upright_edges(width, height),
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

    def across(point: Point) -> Point:
        return (point[0], width - point[1])

    edges = upright_edges(length, width)
    return Shape(
        outline=shapely.box(0, 0, length, width),
        parts=(
            Part(name="front", area=shapely.box(0, 0, length, middle)),
            Part(name="back", area=shapely.box(0, middle, length, width)),
        ),
        folds=(Fold(name="centre fold", start=(0, middle), end=(length, middle)),),
        edges=edges,
        facing={"front": ("back", across), "back": ("front", across)},
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

"""Where quilting may lie: the outline grown or drawn in, less the keep-out zones."""

from __future__ import annotations

import shapely
from shapely import Polygon

from loftline.errors import Finding
from loftline.geometry import ARC_SEGMENTS, only_polygons
from loftline.units import PLAN_MARGIN_MM
from loftline.values import Area, Dart, EdgeWay, KeepOut

RUN_OFF_MM = 6.0
"""How far lines run off past the trimming line (common practice, no source): far enough for
the zigzag before trimming to catch them, near enough to waste little thread."""

LEAST_OVERHANG_MM = 4.0
"""Less overhang than this gives the needle no safe ground outside the trimming line."""

LEAST_ROUND_MM = 2.0
"""Zones grown by less get sharp corners."""

LONGEST_TIP_MM = 10.0
"""How far from the hard edge a zone's sharp corner keeps its point. Cut off nearer, it would
have two corners too near each other for a stitch between them."""

LEAST_SEAM_ALLOWANCE_MM = 2.0
"""A narrower allowance hides no travel."""


def edge_way(
    wanted: EdgeWay, overhang: float, seam_allowance: float, foam_to: str
) -> tuple[EdgeWay, tuple[Finding, ...]]:
    """The way along the edge that the panel really has, with a note when it is not the wanted."""
    able: list[EdgeWay] = ["none"]
    if seam_allowance >= LEAST_SEAM_ALLOWANCE_MM and foam_to != "seam line":
        able.insert(0, "seam allowance")
    if overhang >= LEAST_OVERHANG_MM and foam_to == "overhang":
        able.insert(0, "overhang")
    order: list[EdgeWay] = ["overhang", "seam allowance", "none"]
    edge = next(way for way in order[order.index(wanted) :] if way in able)
    if edge == wanted:
        return edge, ()
    words = {
        "overhang": "in the overhang",
        "seam allowance": "in the seam allowance",
        "none": "nowhere along the edge",
    }
    note = Finding(
        code="edge-way-changed",
        severity="note",
        where="quilting.edge",
        message=f"there is no room to travel {words[wanted]}; the plan travels {words[edge]}",
        remedy="give the panel more overhang, with foam under it, for fewer thread cuts",
    )
    return edge, (note,)


def used_run_off(wanted: float | None, edge: EdgeWay, overhang: float) -> float:
    """How far lines run off past the trimming line, mm; 0 where they end inside it."""
    if overhang < LEAST_OVERHANG_MM or edge == "seam allowance":
        return 0.0
    return min(RUN_OFF_MM, overhang / 2) if wanted is None else wanted


def make_ground(outline: Polygon, run_off: float, seam_allowance: float) -> Area:
    """The outline grown by the run-off, or drawn into the middle of the seam allowance."""
    if run_off > 0:
        grown = Polygon(outline.exterior).buffer(run_off, quad_segs=ARC_SEGMENTS)
        # a window is cut after quilting too, but lines must not close over it
        holes = [_shrunk(Polygon(ring), run_off) for ring in outline.interiors]
        return only_polygons(grown.difference(shapely.union_all(holes)) if holes else grown)
    inset = seam_allowance / 2
    return only_polygons(outline.buffer(-inset, join_style="mitre") if inset else outline)


def _shrunk(hole: Polygon, distance: float) -> shapely.Geometry:
    for share in (1.0, 0.5, 0.25, 0.1):
        smaller = hole.buffer(-distance * share, quad_segs=ARC_SEGMENTS)
        if not smaller.is_empty:
            return smaller
    return hole


def make_sewable(
    ground: Area, keep_outs: tuple[KeepOut, ...], darts: tuple[Dart, ...] = ()
) -> Area:
    """The ground less keep-out zones and darts, with the margin that stitches on a curve need."""
    if not keep_outs and not darts:
        return ground
    # a round corner too small for stitches to follow is drawn sharp, a needle point on it
    grown = [
        zone.outline.buffer(
            zone.reach + PLAN_MARGIN_MM,
            quad_segs=ARC_SEGMENTS,
            join_style="mitre" if zone.reach < LEAST_ROUND_MM else "round",
            mitre_limit=max(5.0, LONGEST_TIP_MM / (zone.reach + PLAN_MARGIN_MM)),
        )
        if zone.zone is None
        else zone.zone.buffer(PLAN_MARGIN_MM, join_style="mitre")
        for zone in keep_outs
    ]
    # a narrow tip keeps its point: cut off, it would ask for a stitch too short to sew
    grown += [
        dart.zone.buffer(PLAN_MARGIN_MM, join_style="mitre", mitre_limit=50) for dart in darts
    ]
    return only_polygons(shapely.difference(ground, shapely.union_all(grown)))

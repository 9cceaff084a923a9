"""Motifs repeated over a field: clipped exactly, joined exactly, sewn with few cuts."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely import LineString

from loftline.fills import make_fields, make_lines
from loftline.fills.motif.cell import GRID_MM, make_cell
from loftline.fills.motif.cutting import cut
from loftline.fills.motif.laying import lay
from loftline.geometry import only_polygons
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.project.motif_files import motif_bytes
from loftline.project.motif_reading import read_motif
from loftline.runs.network import make_network
from support_motifs import BOX, HOLED, NAMES, laid, strings, total

ANGLE = 17.0

# how many lines meet in each point, over a plane full of the motif: where rows touch four,
# where four petals or four drops meet eight, and at a line's end on another three
MEETINGS = {
    "clamshell": {4},
    "ogee": {4},
    "interlocking circles": {4},
    "pebbles": {4},
    "orange peel": {8},
    "wheel": {4, 8},
    "herringbone": {3},
    "basket weave": {3, 4},
}
EVEN = [name for name, degrees in MEETINGS.items() if not any(d % 2 for d in degrees)]

# study of fills, 2026: clipped pieces of a panel of 330 by 546 mm with keep-outs joined by
# following rings for 40 mm took so many runs
STUDY = {"clamshell": 10, "orange peel": 6, "interlocking circles": 11, "ogee": 8}


def project(name: str, panel: dict[str, float], *, keep_outs: bool = True) -> Project:
    width, height = panel["width"], panel["height"]
    round_one = {"shape": "circle", "at": [0.4 * width, 0.8 * height], "diameter": 28}
    broad = {"shape": "rectangle", "at": [0.5 * width, 0.4 * height], "width": 60, "height": 30}
    return parse_project(
        {
            "panel": {"shape": "rectangle", "overhang": 0, **panel},
            "keep_outs": [round_one, broad] if keep_outs else [],
            "fills": [{"pattern": "motif", "motif": name}],
        }
    )


def degrees(name: str) -> set[int]:
    """Of the nodes well inside a panel, how many lines meet there."""
    made = project(name, {"width": 200, "height": 180}, keep_outs=False)
    panel = make_panel(made)
    network = make_network(panel, make_lines(made, panel, make_fields(made, panel)))
    sewn = network.required
    count = np.bincount(np.concatenate([network.u[sewn], network.v[sewn]]))
    x, y = network.nodes[: len(count)].T
    inner = (np.abs(x - 100) < 70) & (np.abs(y - 90) < 60) & (count > 0)
    return set(count[inner].tolist())


@pytest.mark.parametrize("name", NAMES)
def test_a_motif_is_clipped_as_shapely_clips_it(name: str) -> None:
    motif = read_motif(name, motif_bytes(name), None)
    whole = lay(make_cell(motif), HOLED, ANGLE, np.array([75.0, 60.0]))
    pieces = cut(whole, HOLED)
    lines = [LineString(part) for part in np.split(whole.points, whole.starts[1:-1])]
    expected = shapely.length(shapely.intersection(lines, HOLED))
    found = np.zeros(len(lines))
    np.add.at(found, pieces.line, shapely.length([LineString(c) for c in pieces.curves]))
    assert np.abs(found - expected).max() < 1e-6


@pytest.mark.parametrize("name", NAMES)
def test_lines_lie_in_the_region_and_end_on_its_rings_or_on_a_line(name: str) -> None:
    lines = laid(name, angle=ANGLE)
    drawn = strings(lines)
    assert shapely.covers(HOLED.buffer(1e-6), drawn).all()
    ends = [
        curve[k]
        for curve, c in zip(lines.curves, lines.closed, strict=True)
        if not c
        for k in (0, -1)
    ]
    free = [point for point in ends if HOLED.boundary.distance(shapely.Point(point)) > 1e-9]
    at = shapely.points(np.array(free).reshape(-1, 2))
    near, _ = shapely.STRtree(drawn).query(at, predicate="dwithin", distance=1e-9)
    # its own line, and at least one more
    assert all(count > 1 for count in Counter(near.tolist()).values())
    assert len(set(near.tolist())) == len(free)


@pytest.mark.parametrize("name", NAMES)
def test_lines_of_one_family_never_touch(name: str) -> None:
    lines = laid(name, BOX, angle=ANGLE)
    drawn = np.array(strings(lines), dtype=object)
    one, other = shapely.STRtree(drawn).query(drawn, predicate="dwithin", distance=1e-3)
    pairs = (one < other) & (lines.family[one] == lines.family[other])
    assert not pairs.any()


@pytest.mark.parametrize("angle", [0.0, ANGLE, 90.0])
@pytest.mark.parametrize("name", ["clamshell", "orange peel", "ogee", "pebbles"])
def test_where_lines_touch_they_share_the_very_same_point(name: str, angle: float) -> None:
    lines = laid(name, BOX, angle=angle)
    on = [set(map(tuple, curve.tolist())) for curve in lines.curves]
    shared = Counter(point for points in on for point in points)
    drawn = np.array(strings(lines), dtype=object)
    one, other = shapely.STRtree(drawn).query(drawn, predicate="dwithin", distance=0.01)
    place = shapely.shortest_line(drawn[one], drawn[other])
    # just beside the edge a corner may be beyond it, or left out for want of room
    inside = (one < other) & (shapely.distance(place, BOX.boundary) > 1.5)
    touching = {*zip(one[inside].tolist(), other[inside].tolist(), strict=True)}
    assert len(touching) >= 8
    assert all(on[a] & on[b] for a, b in touching)
    assert max(shared.values()) == {"orange peel": 4}.get(name, 2)


def test_lines_that_cross_share_a_point_too() -> None:
    lines = laid("interlocking circles", BOX, angle=ANGLE)
    on = [set(map(tuple, curve.tolist())) for curve in lines.curves]
    both = [len(a & b) for k, a in enumerate(on) for b in on[:k] if a & b]
    whole = lines.closed.sum()
    assert whole > 20
    assert both.count(2) > whole


@pytest.mark.parametrize("name", MEETINGS)
def test_so_many_lines_meet_in_each_point(name: str) -> None:
    assert degrees(name) - {2} == MEETINGS[name]


@pytest.mark.parametrize("name", EVEN)
def test_where_all_meetings_are_even_nothing_is_sewn_over_again(name: str) -> None:
    plan = make_plan(project(name, {"width": 200, "height": 180}, keep_outs=False))
    assert plan.report.length["double"] == 0


@pytest.mark.parametrize("name", STUDY)
def test_rows_are_joined_better_than_by_following_edges(name: str) -> None:
    report = make_plan(project(name, {"width": 330, "height": 546})).report
    assert report.runs < STUDY[name]


def test_a_row_is_one_line() -> None:
    # waves 10 mm high and 10 mm apart: of those in a box 120 mm high eleven are not cut lengthwise
    across = [line for line in strings(laid("wave", BOX)) if line.bounds[2] - line.bounds[0] > 149]
    assert len(across) == 11


def test_a_line_that_crosses_itself_stays_one_line() -> None:
    lines = laid("loops", BOX)
    crossing = [line for line in strings(lines) if not line.is_simple]
    assert len(crossing) == len({round(line.centroid.y) for line in crossing}) == 7


def test_corners_are_kept() -> None:
    for curve in laid("greek key", BOX).curves:
        upright = np.abs(np.diff(curve, axis=0)[:, 0]) < 1e-9
        level = np.abs(np.diff(curve, axis=0)[:, 1]) < 1e-9
        assert (upright ^ level).all()
        # a corner at each point but where a tile ends, on the way along the foot of the key
        straight_on = curve[1:-1][upright[1:] == upright[:-1]]
        assert len(np.unique(straight_on[:, 1].round(6))) <= 1


def test_the_middle_of_a_tile_lies_where_it_starts() -> None:
    lines = laid("wheel", BOX, start_at=[71.5, 62.25])
    hubs = [
        line.centroid
        for line, closed in zip(strings(lines), lines.closed, strict=True)
        if closed and line.length < 50
    ]
    nearest = min(math.hypot(hub.x - 71.5, hub.y - 62.25) for hub in hubs)
    assert nearest < 1e-3


def test_a_motif_is_turned_by_its_angle() -> None:
    upright = laid("ogee", BOX, angle=90)
    turned = only_polygons(shapely.affinity.rotate(BOX, -90, origin=(75, 60)))
    assert total(upright) == pytest.approx(total(laid("ogee", turned, turned, angle=0)))
    low, high = shapely.total_bounds(strings(upright)[0])[[0, 2]]
    assert high - low < 21


def test_half_a_turn_turns_a_motif_upside_down() -> None:
    upright = shapely.union_all(strings(laid("clamshell", BOX)))
    turned = shapely.union_all(strings(laid("clamshell", BOX, angle=180)))
    back = shapely.affinity.rotate(turned, 180, origin=(75, 60))
    assert upright.hausdorff_distance(back) < 1e-3
    assert upright.hausdorff_distance(turned) > 3


def test_a_symmetric_motif_lies_symmetrically_about_the_centre() -> None:
    drawn = shapely.union_all(strings(laid("clamshell", BOX)))
    mirrored = shapely.affinity.scale(drawn, xfact=-1, origin=(75, 60))
    assert drawn.hausdorff_distance(mirrored) < 1e-3


@pytest.mark.parametrize("name", NAMES)
def test_no_crumbs_are_left_where_a_motif_is_cut(name: str) -> None:
    drawn = strings(laid(name, BOX, angle=ANGLE))
    ends = shapely.points(np.concatenate([np.array(line.coords)[[0, -1]] for line in drawn]))
    edge = BOX.boundary
    for line in drawn:
        cut_off = min(edge.distance(shapely.Point(line.coords[k])) for k in (0, -1)) < 1e-9
        carries = shapely.dwithin(line, ends, 1e-9).sum() > 2
        assert line.length >= 3.0 or not cut_off or carries


def test_a_small_motif_keeps_its_short_lines() -> None:
    # strips of a basket weave 9 mm high are 1.5 mm apart and 4.5 mm long
    lines = laid("basket weave", BOX, size=9)
    length = np.array([line.length for line in strings(lines)])
    assert (np.abs(length - 4.5) < 1e-3).sum() > 800


def test_nothing_is_drawn_in_the_overhang_alone() -> None:
    part = shapely.box(30, 30, 120, 90)
    shown = shapely.length(shapely.intersection(strings(laid("pebbles", BOX, part)), part))
    everywhere = shapely.intersection(strings(laid("pebbles", BOX)), part)
    assert shown.min() >= 1.0
    assert (shapely.length(everywhere) == 0).sum() > 20
    assert shown.sum() == pytest.approx(shapely.length(everywhere).sum(), abs=20)


def test_each_copy_of_a_touching_line_has_its_points_on_a_grid() -> None:
    cell = make_cell(read_motif("pebbles", motif_bytes("pebbles"), 31.7))
    numbers = np.concatenate([*cell.lines, [[cell.width, cell.height]]]) / GRID_MM
    assert np.array_equal(numbers, np.round(numbers))


def test_points_of_a_line_are_apart() -> None:
    for name in NAMES:
        for curve in laid(name, BOX, angle=ANGLE).curves:
            gap = np.hypot(*np.diff(curve, axis=0).T)
            assert gap.min() > 0
            assert all(tuple(a) != tuple(b) for a, b in pairwise(curve.tolist()))


@pytest.mark.parametrize(("left", "kept"), [(30.7, False), (30.4, True)])
def test_a_corner_is_kept_where_there_is_room_for_a_stitch(left: float, *, kept: bool) -> None:
    # the key has corners at 31, 44: a line that begins 0.3 mm before one has no room for it
    box = shapely.box(left, 20, 130, 70)
    lines = laid("greek key", box, box, start_at=[75, 60])
    corners = {tuple(point) for curve in lines.curves for point in curve.round(6).tolist()}
    assert (31.0, 36.0) in corners
    assert ((31.0, 44.0) in corners) is kept

"""The fewest fields over the lines, and what is proved of fewer."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from loftline.hooping.bound import least_hoopings
from loftline.hooping.covering import Cell, Cover, Turning, cover, fewest
from loftline.hooping.cutting import SHORT_MM, cut_lines
from loftline.hooping.strips import Sewing
from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.values import Floats, Lines, Panel

POUCH_HOOP = (130.0, 180.0)
TURNINGS: tuple[Turning, ...] = ("none", "each")


def panel(**tables: object) -> Panel:
    """A plain panel to put things on."""
    document = {
        "format": 1,
        "panel": {"shape": "rectangle", "width": 250, "height": 410},
        "fills": [{"pattern": "channel"}],
    }
    return make_panel(parse_project(document | tables))


def level_lines(width: float, height: float, spacing: float = 10.0) -> Floats:
    """Lines from side to side, one along each of the two other sides."""
    y = np.append(np.arange(0.0, height, spacing), height)
    return np.array([[(0.0, at), (width, at)] for at in y])


def sewing(lines: Floats, on: Panel | None = None, crossings: Floats | None = None) -> Sewing:
    starts = np.arange(0, 2 * len(lines) + 1, 2)
    none = np.empty((0, 2))
    return Sewing.of(
        panel() if on is None else on,
        lines.reshape(-1, 2),
        starts,
        none if crossings is None else crossings,
    )


def field(margin: float) -> tuple[float, float]:
    return (POUCH_HOOP[0] - 2 * margin, POUCH_HOOP[1] - 2 * margin)


# Reference 35f (counting): 250 x 410 mm in a hoop of 130 x 180. Each side needs
# ceil(side / field) fields: 2 x 3 with 125 x 175, 2 x 4 turned with 124.8 x 174.8, 3 x 3
# upright with the same. Rows turned by themselves: 3 + 2 + 2, as 174.8 + 2 x 124.8 > 410.
@pytest.mark.parametrize(
    ("margin", "turning", "expected"),
    [
        (2.5, "all alike", 6),
        (2.6, "all alike", 8),
        (2.6, "none", 9),
        (2.6, "each", 7),
    ],
)
def test_the_fewest_placings_are_counted(margin: float, turning: Turning, expected: int) -> None:
    found = cover(sewing(level_lines(250, 410)), field(margin), turning)
    assert len(found.cells) == expected


def test_no_cell_is_larger_than_its_field() -> None:
    found = cover(sewing(level_lines(250, 410)), field(2.6), "each")
    for cell in found.cells:
        x0, y0, x1, y1 = cell.box
        assert x1 - x0 <= cell.field[0] + 1e-6
        assert y1 - y0 <= cell.field[1] + 1e-6


def covered(found: Cover, lines: Floats) -> bool:
    boxes = shapely.union_all([shapely.box(*cell.box) for cell in found.cells])
    return bool(boxes.buffer(1e-6).covers(shapely.multilinestrings(list(lines))))


def test_upright_lines_lie_in_cells_from_end_to_end() -> None:
    lines = level_lines(410, 250)[:, :, ::-1]
    assert covered(cover(sewing(lines), (100.0, 100.0)), lines)


def test_fields_that_just_fit_are_stacked_without_a_gap() -> None:
    # twice 70 mm, from a height between the tenths that needle points lie on
    lines = level_lines(40, 140, 5.0) + np.array([0.0, 0.05])
    found = cover(sewing(lines), (55.0, 70.0), "none")
    assert found.levels == pytest.approx((70.05,))
    assert [cell.row for cell in found.cells] == [0, 1]


def test_fields_that_just_fit_side_by_side_leave_no_gap() -> None:
    lines = level_lines(140, 40, 5.0) + np.array([0.05, 0.0])
    found = cover(sewing(lines), (70.0, 55.0), "none")
    assert [cell.box[2] - cell.box[0] for cell in found.cells] == pytest.approx([70.0, 70.0])


@pytest.mark.parametrize("height", [140.05, 140.15, 140.5, 141.0])
def test_where_two_fields_just_do_not_fit_no_field_is_left_a_sliver(height: float) -> None:
    lines = np.linspace((0.0, 0.0), (40.0, 0.0), 9)[:, None] + [[0.0, 0.0], [0.0, height]]
    found = cover(sewing(lines), (55.0, 70.0), "none")
    sizes = [cell.box[3] - cell.box[1] for cell in found.cells]
    assert len(sizes) == 3
    assert min(sizes) > 20


@pytest.mark.parametrize("axis", [0, 1])
def test_a_single_straight_line_longer_than_the_field_is_covered(axis: int) -> None:
    line = np.array([[(1.5, 10.0), (298.5, 10.0)]])[:, :, :: 1 - 2 * axis]
    found = cover(sewing(line), (95.0, 95.0))
    ends = [(cell.box[axis], cell.box[axis + 2]) for cell in found.cells]
    assert len(ends) == 4
    assert (ends[0][0], ends[-1][1]) == (1.5, 298.5)


def test_a_narrow_flap_needs_fewer_fields_than_the_body() -> None:
    body, flap = level_lines(250, 170), level_lines(90, 160) + np.array([80.0, 180.0])
    found = cover(sewing(np.concatenate([body, flap])), (130.0, 175.0), "none")
    assert [cell.row for cell in found.cells] == [0, 0, 1]


def test_borders_lie_between_channels_in_half_spacings() -> None:
    found = cover(sewing(level_lines(120, 300, 12.0)), (130.0, 175.0), "none")
    (level,) = found.levels
    assert level % 12 == pytest.approx(6, abs=1.01)
    assert found.cut == 0


def test_borders_lie_at_crossings() -> None:
    slanted = []
    for foot in np.arange(-300.0, 121.0, 30.0):
        slanted.append([(foot, 0.0), (foot + 300, 300.0)])
        slanted.append([(foot + 300, 0.0), (foot, 300.0)])
    lines = np.array(slanted)
    a, b = lines[0::2], lines[1::2]
    met = [
        ((p[0, 0] + q[0, 0]) / 2, (q[0, 0] - p[0, 0]) / 2)
        for p in a
        for q in b
        if 0 < (q[0, 0] - p[0, 0]) / 2 < 300
    ]
    found = cover(sewing(lines, crossings=np.array(met)), (800.0, 175.0), "none")
    (level,) = found.levels
    assert level % 15 == pytest.approx(0, abs=1e-6)


def test_a_border_keeps_away_from_a_keep_out() -> None:
    label = {"name": "label", "shape": "rectangle", "at": [125, 205], "width": 60, "height": 40}
    on = panel(keep_outs=[{**label, "clearance": 3}])
    found = cover(sewing(level_lines(250, 410), on), (260.0, 260.0), "none")
    (level,) = found.levels
    # hard edge 20 mm above and below 205, clearance 3, kept away 5
    assert abs(level - 205) >= 28
    assert found.near == 0


def test_a_border_keeps_away_from_a_fold() -> None:
    on = panel(panel={"shape": "folded pouch", "width": 250, "body": 150, "flap": 110})
    found = cover(sewing(level_lines(250, 300), on), (260.0, 160.0), "none")
    assert found.near == 0
    assert all(abs(level - 150) >= 5 for level in found.levels)


def test_where_a_border_must_come_near_it_is_counted() -> None:
    label = {"name": "label", "shape": "rectangle", "at": [125, 205], "width": 60, "height": 40}
    on = panel(keep_outs=[{**label, "clearance": 3}])
    found = cover(sewing(level_lines(250, 410), on), (260.0, 206.0), "none")
    assert len(found.cells) == 2
    assert found.near == 1


def test_the_bound_of_points_counts_corners() -> None:
    corners = np.array([[(0.0, 0.0), (1.0, 0.0)], [(300.0, 300.0), (301.0, 300.0)]])
    assert least_hoopings(sewing(corners), (130.0, 180.0), turning=True) == 2


def test_the_bound_of_length_counts_what_a_field_can_hold() -> None:
    lines = level_lines(400, 400, 5.0)
    # a field holds at most 102 x 102 mm and a cell of 2 mm more each way of these lines
    held = 104 * (math.floor(104 / 5) + 1)
    least = least_hoopings(sewing(lines), (100.0, 100.0), turning=False)
    assert least >= math.ceil(400 * 81 / held)


def test_the_bound_never_passes_what_is_needed() -> None:
    for margin, turning, needed in ((2.5, True, 6), (2.6, True, 6), (2.6, False, 9)):
        # six fields that are turned one by one and staggered do cover 250 x 410 mm
        found = least_hoopings(sewing(level_lines(250, 410)), field(margin), turning=turning)
        assert found <= needed


def test_six_staggered_fields_cover_what_rows_need_eight_for() -> None:
    """So no bound above six can be true of 35f with a margin of 2.6."""
    wide, high = field(2.6)[1], field(2.6)[0]
    left = [
        (0, 0, high, wide),
        (0, wide, wide, wide + high),
        (0, wide + high, wide, wide + 2 * high),
    ]
    right = [(250 - wide, 0, 250, high), (250 - wide, high, 250, 2 * high)]
    right.append((250 - high, 2 * high, 250, 2 * high + wide))
    union = shapely.union_all([shapely.box(*box) for box in (*left, *right)])
    assert union.covers(shapely.box(0, 0, 250, 410))


@pytest.mark.parametrize("turning", ["none", "all alike", "each"])
def test_counting_alone_agrees_with_laying_out(turning: Turning) -> None:
    for margin in (2.5, 2.6, 9.0):
        lines = sewing(level_lines(250, 410))
        assert fewest(lines, field(margin), turning) == len(
            cover(lines, field(margin), turning).cells
        )


@pytest.mark.parametrize("seed", range(12))
def test_the_bound_is_true_of_random_lines(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lines = rng.uniform(0, (300, 420), (25, 2))[:, None] + rng.uniform(-40, 40, (25, 2, 2))
    for turning in TURNINGS:
        found = cover(sewing(lines), (70.0, 110.0), turning)
        least = least_hoopings(sewing(lines), (70.0, 110.0), turning=turning == "each")
        assert 1 <= least <= len(found.cells)


@pytest.mark.parametrize("seed", range(6))
def test_random_lines_lie_in_their_cells(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lines = rng.uniform(0, (300, 420), (25, 2))[:, None] + rng.uniform(-40, 40, (25, 2, 2))
    drawn = Lines(
        points=lines.reshape(-1, 2),
        starts=np.arange(0, 51, 2),
        fill=np.zeros(25, np.int64),
        family=np.arange(25),
        angle=np.full(25, np.nan),
        closed=np.zeros(25, bool),
    )
    found = cover(sewing(lines), (70.0, 110.0), "each")
    cut = cut_lines(drawn, found)
    for piece, k in enumerate(cut.cell.tolist()):
        points = cut.points[cut.first[piece] : cut.last[piece] + 1]
        size = np.ptp(points, axis=0)
        assert (size <= np.array(found.cells[k].field) + SHORT_MM).all()
    for k, cell in enumerate(found.cells):
        mine = [
            cut.points[cut.first[piece] : cut.last[piece] + 1]
            for piece in np.flatnonzero(cut.cell == k).tolist()
        ]
        if mine:
            assert (np.ptp(np.concatenate(mine), axis=0) <= np.array(cell.field) + 1e-6).all()


def test_cut_lines_are_whole_again_when_their_pieces_are_joined() -> None:
    lines = level_lines(250, 410)
    drawn = Lines(
        points=lines.reshape(-1, 2),
        starts=np.arange(0, 2 * len(lines) + 1, 2),
        fill=np.zeros(len(lines), np.int64),
        family=np.zeros(len(lines), np.int64),
        angle=np.zeros(len(lines)),
        closed=np.zeros(len(lines), bool),
    )
    cut = cut_lines(drawn, cover(sewing(lines), field(2.5), "each"))
    for line, (start, end) in enumerate(lines):
        mine = np.flatnonzero(cut.line == line)
        assert np.allclose(cut.points[cut.first[mine[0]]], start)
        assert np.allclose(cut.points[cut.last[mine[-1]]], end)
        assert (cut.last[mine[:-1]] == cut.first[mine[1:]]).all()


def two_rows(upper: float) -> Cover:
    """A full field of 50 x 70 mm, and one of another height above it."""
    boxes, heights = ((0.0, 0.0, 50.0, 70.0), (0.0, 70.0, 50.0, 140.0)), (70.0, upper)
    cells = tuple(
        Cell(box=box, field=(50.0, heights[row]), turned=False, row=row, column=0)
        for row, box in enumerate(boxes)
    )
    return Cover(cells=cells, levels=(70.0,), sides=((), ()), upright=True, near=0, cut=0.0)


def one_line(points: Floats) -> Lines:
    return Lines(
        points=points,
        starts=np.array([0, len(points)]),
        fill=np.zeros(1, np.int64),
        family=np.zeros(1, np.int64),
        angle=np.zeros(1),
        closed=np.zeros(1, bool),
    )


def pieces(points: Floats, found: Cover) -> list[tuple[int, Floats]]:
    """Cell and points of each piece of one line."""
    cut = cut_lines(one_line(points), found)
    return [
        (int(cell), cut.points[first : last + 1])
        for cell, first, last in zip(cut.cell, cut.first, cut.last, strict=True)
    ]


def just_over(points: int) -> Floats:
    """A line that ends a fifth of a millimetre past the border."""
    return np.column_stack([np.full(points, 10.0), np.linspace(0.0, 70.2, points)])


@pytest.mark.parametrize("points", [2, 30, 500])
def test_a_rest_that_no_stitch_fits_on_takes_a_stretch_from_beside(points: int) -> None:
    (below, lower), (above, upper) = pieces(just_over(points), two_rows(75.0))
    assert (below, above) == (0, 1)
    assert upper[[0, -1], 1] == pytest.approx([68.2, 70.2])
    assert lower[[0, -1], 1] == pytest.approx([0.0, 68.2])


@pytest.mark.parametrize("points", [2, 30, 500])
def test_a_line_that_begins_with_such_a_rest_takes_it_too(points: int) -> None:
    (above, upper), (below, lower) = pieces(just_over(points)[::-1], two_rows(75.0))
    assert (below, above) == (0, 1)
    assert upper[[0, -1], 1] == pytest.approx([70.2, 68.2])
    assert lower[[0, -1], 1] == pytest.approx([68.2, 0.0])


def test_a_rest_takes_no_more_than_its_field_holds() -> None:
    _, (_, upper) = pieces(just_over(2), two_rows(70.5))
    assert upper[0, 1] == pytest.approx(69.6)


def test_a_stitch_between_two_full_fields_is_a_piece_of_its_own() -> None:
    line = just_over(2) * np.array([1.0, 70.4 / 70.2])
    _, (above, upper) = pieces(line, two_rows(70.0))
    assert above == 1
    assert upper[[0, -1], 1] == pytest.approx([70.0, 70.4])


def test_a_rest_shorter_than_a_stitch_between_two_full_fields_is_named() -> None:
    cut = cut_lines(one_line(just_over(2)), two_rows(70.0))
    assert cut.cell.tolist() == [0]
    assert cut.left == pytest.approx(np.array([[10.0, 70.1]]))
    assert cut.beside.tolist() == [1]

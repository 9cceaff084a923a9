"""Rows of hardware, allowances, punched holes, the foot: item by item."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from loftline.checks import check_foot, check_punched
from loftline.errors import Finding, ProjectError
from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.values import Kind, Plan, Point, Sewn

SQUARE = {"shape": "rectangle", "width": 200, "height": 200}
FOOT = {"left": 10, "right": 10, "front": 15, "back": 20}


def planned(at: object, **more: Any) -> Plan:  # noqa: ANN401 - any table of the file
    """A plan with one kind of hardware, an eyelet unless said."""
    piece = {"name": "eyelet", "kind": "eyelet", "at": at} | more.pop("piece", {})
    document = {"panel": SQUARE, "hardware": [piece], "fills": [{"pattern": "channel"}]}
    return make_plan(parse_project(document | more))


def spots(plan: Plan) -> list[Point]:
    return [piece.at for piece in plan.panel.pieces]


def codes(plan: Plan) -> list[str]:
    return [finding.code for finding in plan.findings]


def test_a_row_has_even_ends_and_numbered_names() -> None:
    plan = planned({"along": "top", "distance": 12, "every": 40})
    assert spots(plan) == [(20, 188), (60, 188), (100, 188), (140, 188), (180, 188)]
    assert [piece.name for piece in plan.panel.pieces] == [f"eyelet {n}" for n in range(1, 6)]


def test_a_count_shares_the_edge_evenly() -> None:
    plan = planned({"along": "left", "distance": 10, "count": 4})
    assert spots(plan) == [(10, 25), (10, 75), (10, 125), (10, 175)]


def test_count_and_distance_stand_in_the_middle() -> None:
    plan = planned({"along": "bottom", "distance": 10, "every": 30, "count": 3})
    assert spots(plan) == [(70, 10), (100, 10), (130, 10)]


@pytest.mark.parametrize(
    ("at", "says"),
    [
        ({"along": "top", "distance": 10}, "at.every: say how far apart"),
        ({"along": "toop", "distance": 10, "count": 2}, 'did you mean "top"?'),
        ({"along": "top", "distance": 300, "count": 2}, "does not lie on the panel"),
        ({"along": "top", "distance": 10, "count": 9, "every": 40}, "take 320 mm"),
        (
            {"along": "top", "distance": 10, "every": 900},
            "at.every: pieces 900 mm apart do not fit",
        ),
    ],
)
def test_a_row_that_does_not_fit_is_refused(at: object, says: str) -> None:
    with pytest.raises(ProjectError) as caught:
        planned(at)
    assert says in str(caught.value)


def test_a_size_in_the_kind() -> None:
    plan = planned([100, 100], piece={"kind": "14 mm magnetic snap"})
    x0, _, x1, _ = plan.panel.pieces[0].outline.bounds
    assert x1 - x0 == pytest.approx(14, abs=0.02)


def test_allowances_are_added_and_stand_apart() -> None:
    piece = {"kind": "sew-in magnet", "diameter": 20}
    sewing = {"placing_tolerance": 1.5, "draw_in": 4}
    zone = planned([150, 100], piece=piece, quilting=sewing).panel.keep_outs[0]
    assert (zone.clearance, zone.tolerance) == (6.35, 1.5)
    # its far side lies 60 mm from the panel's centre, 4 % of it
    assert zone.draw_in == pytest.approx(2.4, abs=0.01)
    assert zone.reach == pytest.approx(6.35 + 1.5 + zone.draw_in)


def test_what_a_swatch_shrank_by_widens_the_zones_unless_it_is_allowed_for() -> None:
    sizes = {"before": [100, 100], "after": [99, 96]}
    piece = {"kind": "sew-in magnet", "diameter": 20}
    zone = planned([150, 100], piece=piece, swatch=sizes).panel.keep_outs[0]
    assert zone.draw_in == pytest.approx(2.4, abs=0.01)  # 4 % of 60 mm, the way it shrank most
    allowed = planned(
        [150, 100], piece=piece, swatch=sizes, quilting={"allow_for_draw_in": True}
    ).panel.keep_outs[0]
    assert allowed.draw_in == 0


def test_a_swatch_that_was_unpicked_only_leaves_the_draw_in_as_it_is_told() -> None:
    readings = {"needle": [150], "bobbin": [148]}
    piece = {"kind": "sew-in magnet", "diameter": 20}
    zone = planned([150, 100], piece=piece, swatch=readings, quilting={"draw_in": 4})
    assert zone.panel.keep_outs[0].draw_in == pytest.approx(2.4, abs=0.01)  # 4 % of 60 mm


def test_a_piece_fitted_later_leaves_the_lines_alone() -> None:
    with_it = planned([100, 100], piece={"kind": "grommet"})
    without = make_plan(parse_project({"panel": SQUARE, "fills": [{"pattern": "channel"}]}))
    assert np.array_equal(with_it.sewn.x, without.sewn.x)
    assert np.array_equal(with_it.sewn.y, without.sewn.y)
    assert "hole-cuts-thread" in codes(with_it)


def sewn_through(*points: Point) -> Sewn:
    xy = np.round(np.array(points) * 10).astype(np.int64)
    return Sewn(
        x=xy[:, 0],
        y=xy[:, 1],
        run=np.zeros(len(xy), dtype=np.int64),
        kind=np.full(len(xy), int(Kind.LINE)),
        via=np.empty((0, 2), dtype=np.int64),
        via_run=np.empty(0, dtype=np.int64),
    )


def test_only_stitches_through_the_hole_are_counted() -> None:
    panel = planned([100, 100], piece={"kind": "grommet"}).panel  # 20 mm, its hole 10 mm
    across = check_punched(panel, sewn_through((90, 100), (94, 100), (98, 100), (102, 100)))
    assert [finding.message for finding in across] == [
        'the hole of "eyelet", fitted after lining, cuts 2 stitches'
    ]
    assert not check_punched(panel, sewn_through((90, 106), (100, 106), (110, 106)))


@pytest.mark.parametrize("guided", ["hand", "machine"])
def test_the_needle_stops_where_the_foot_would_touch(guided: str) -> None:
    # the foot's front is 15 mm ahead of the needle, the piece's edge at y = 100
    post = {"kind": "post", "width": 40, "height": 10, "sits": "above"}
    plan = planned(
        [100, 105],
        piece=post,
        fills=[{"pattern": "channel", "angle": 90}],
        machine={"guided": guided, "foot": FOOT},
    )
    x, y = plan.sewn.x / 10, plan.sewn.y / 10
    line = (plan.sewn.kind == Kind.LINE) & (abs(x - 100) < 1) & (y < 100)
    assert line.any()
    assert y[line].max() <= 85
    assert "foot-strikes" not in codes(plan)


def test_the_foot_is_turned_to_the_sewing_direction() -> None:
    post = {"kind": "post", "width": 40, "height": 10, "sits": "above"}
    panel = planned([100, 105], piece=post).panel

    def check(*points: Point) -> tuple[Finding, ...]:
        return check_foot(panel, sewn_through(*points), left=10, right=10, front=15, back=20)

    up = [(100.0, y) for y in (76.0, 79.0, 82.0, 85.0)]
    assert not check(*up)
    (finding,) = check(*up, (100, 88))
    assert finding.code == "foot-strikes"
    # past the piece's side, 10 mm are enough; 9 are not
    beside = [(130.5, y) for y in (90.0, 95.0, 100.0)]
    assert not check(*beside)
    assert check(*((x - 1, y) for x, y in beside))


def test_less_ground_is_lost_than_the_farthest_corner_sweeps() -> None:
    post = {"kind": "post", "width": 40, "height": 10, "sits": "above"}
    machine = {"guided": "hand", "foot": FOOT}
    fills = [{"pattern": "channel", "angle": 90}]
    panel = planned([100, 105], piece=post, fills=fills, machine=machine).panel
    # 20 mm beside: clearance 6.35, the foot's side 10, some degrees of turning; a corner takes 28.7
    assert panel.sewable.covers(shapely.Point(60, 105))
    wandering = [{"pattern": "meander", "spacing": 20}]
    disc = planned([100, 105], piece=post, fills=wandering, machine=machine).panel
    assert not disc.sewable.covers(shapely.Point(60, 105))


def test_a_row_whose_pieces_lie_over_each_other_is_refused() -> None:
    for at, key in (({"every": 9}, "every"), ({"count": 30}, "count")):
        with pytest.raises(ProjectError, match=rf"at\.{key}: the pieces would lie over each other"):
            planned({"along": "top", "distance": 12} | at)


@pytest.mark.parametrize(
    ("counts", "says"),
    [
        ([{"count": 200}, {"count": 200}, {"count": 101}], "have 501 pieces; at most 500"),
        ([{"every": 11}] * 3, "found 543 pieces up to here; at most 500"),  # 2000 / 11 is 181
    ],
)
def test_rows_with_more_pieces_than_are_placed_are_refused(
    counts: list[dict[str, int]], says: str
) -> None:
    big = {"shape": "rectangle", "width": 2000, "height": 400}
    rows = [
        {"name": f"row {n}", "kind": "eyelet", "at": {"along": "top", "distance": 20 * n} | count}
        for n, count in enumerate(counts, 1)
    ]
    with pytest.raises(ProjectError, match=rf"hardware\[2\]\.at: .*{says}"):
        planned([0, 0], panel=big, hardware=rows)


def test_a_row_at_thousandths_of_a_millimetre_is_refused() -> None:
    with pytest.raises(ProjectError, match=r"hardware\[0\]\.at\.every: found 0\.001"):
        planned({"along": "top", "distance": 12, "every": 0.001})

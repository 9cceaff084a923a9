"""Overlaps of hoopings: what is sewn again keeps out of the holes that are there."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree

from loftline.hooping import Share, aside_of_holes
from loftline.values import Hooping, Ints, Kind, Lines, Plan, Sewn
from support_hoopings import bare, hooped

LONGEST_MM = 7.0
BASE = 100
"""Tenths of a millimetre: the overlap lies on this height."""


def sewn_at(x: list[int], y: list[int] | None = None) -> Sewn:
    """One run at these tenths of a millimetre, sewn again all along."""
    count = len(x)
    return Sewn(
        x=np.array(x),
        y=np.full(count, BASE) if y is None else np.array(y),
        run=np.zeros(count, np.int64),
        kind=np.full(count, int(Kind.DOUBLE)),
        via=np.empty((0, 2), np.int64),
        via_run=np.empty(0, np.int64),
    )


def share() -> Share:
    """What sews a straight line again from 0 to 20 mm."""
    return Share(
        hooping=Hooping(field=(100.0, 100.0)),
        lines=Lines(
            points=np.array([[0.0, 10.0], [20.0, 10.0]]),
            starts=np.array([0, 2]),
            fill=np.zeros(1, np.int64),
            family=np.zeros(1, np.int64),
            angle=np.zeros(1),
            closed=np.zeros(1, bool),
        ),
        owner=np.zeros(1, np.int64),
        again=np.array([[[0.0, 10.0], [20.0, 10.0]]]),
        tips=np.empty((0, 2)),
    )


def moved(sewn: Sewn, there: list[list[float]], **how: object) -> Ints:
    kept = how.get("kept")
    assert kept is None or isinstance(kept, shapely.Polygon)
    longest = how.get("longest", LONGEST_MM)
    assert isinstance(longest, float)
    found = aside_of_holes(share(), sewn, np.array(there).reshape(-1, 2), kept, longest)
    return np.column_stack([found.x, found.y])


def test_a_point_in_a_hole_that_is_there_moves_half_a_millimetre_along_its_line() -> None:
    found = moved(sewn_at([0, 30, 60]), [[3.0, 10.0]])
    assert 5 <= abs(found[1, 0] - 30) <= 6
    assert found[:, 1].tolist() == [BASE] * 3


def test_a_point_clear_of_all_holes_stays() -> None:
    assert moved(sewn_at([0, 30, 60]), [[3.6, 10.0]])[:, 0].tolist() == [0, 30, 60]


def test_a_point_between_two_holes_takes_the_middle() -> None:
    """Holes half a stitch apart leave 0.6 mm to each side, as where a line was come back over."""
    found = moved(sewn_at([0, 30, 60]), [[1.8, 10.0], [3.0, 10.0], [4.2, 10.0]])
    assert abs(found[1, 0] - 30) == 6


def test_a_corner_stays_where_it_is() -> None:
    found = moved(sewn_at([0, 30, 30], [BASE, BASE, BASE + 30]), [[3.0, 10.0]])
    assert found[1].tolist() == [30, BASE]


def test_the_end_of_an_overlap_that_turns_back_falls_short_of_a_hole() -> None:
    found = moved(sewn_at([0, 30, 5]), [[3.0, 10.0]])
    assert found[1, 0] in (24, 25)


def test_a_point_by_a_keep_out_stays() -> None:
    found = moved(sewn_at([0, 30, 60]), [[3.0, 10.0]], kept=shapely.box(2, 9, 4, 11))
    assert found[1, 0] == 30


def test_no_stitch_grows_longer_than_the_machine_sews() -> None:
    found = moved(sewn_at([0, 30, 60]), [[3.0, 10.0]], longest=3.1)
    assert found[1, 0] == 30


@cache
def grid() -> Plan:
    """Lines that are come back over at borders, and sewn again past them."""
    fill = {"pattern": "grid", "angle": 0, "spacing": 18}
    sheet = {"shape": "rectangle", "width": 230, "height": 170, "seam_allowance": 8}
    return hooped(sheet, fill, {"hoop": [130, 180]})


def stacked(plan: Plan, near: float) -> tuple[int, int]:
    """Holes sewn again outside a hooping's own cell, less than that beside an earlier one; all."""
    at = np.column_stack([plan.sewn.x, plan.sewn.y]) / 10
    line = np.isin(plan.sewn.kind, (Kind.LINE, Kind.DOUBLE))
    met, count = 0, 0
    for hooping in plan.hoopings[1:]:
        assert hooping.cell is not None
        assert hooping.last is not None
        low, high = np.array(hooping.cell[:2]) - 0.2, np.array(hooping.cell[2:]) + 0.2
        mine = slice(hooping.first, hooping.last + 1)
        again = (plan.sewn.kind[mine] == Kind.DOUBLE) & ((at[mine] < low) | (at[mine] > high)).any(
            axis=1
        )
        earlier = at[: hooping.first][line[: hooping.first]]
        away = np.atleast_1d(cKDTree(earlier).query(at[mine][again])[0])
        met, count = met + int((away < near).sum()), count + len(away)
    return met, count


def test_hardly_a_hole_of_an_overlap_is_stacked_on_another() -> None:
    met, count = stacked(grid(), 0.25)
    assert count > 20
    assert met <= 0.05 * count


def test_without_moving_them_many_would_be(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("loftline.hooping.aside.APART_MM", 0.0)
    met, count = stacked(grid.__wrapped__(), 0.25)
    assert met > 0.05 * count


def test_moving_them_leaves_no_line_bare() -> None:
    assert len(bare(grid())) == 0

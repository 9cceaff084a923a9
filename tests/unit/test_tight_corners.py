"""Corners so near each other that not all of them can have a needle point."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from loftline.stitches.path import Path
from loftline.stitches.placing import place_stitches
from loftline.units import CHORD_ERROR_MM, LEAST_STITCH_MM
from loftline.values import Floats, Kind
from support_stitches import path_of


def travel(*points: tuple[float, float], joints: tuple[int, ...] = ()) -> Path:
    """One run of travel; edges of the network begin at its start and at ``joints``."""
    path = path_of(points, 3.0)
    joint, node = path.joint.copy(), path.node.copy()
    for number, at in enumerate(joints):
        joint[at], node[at] = True, 2 + number
    kind = np.full(len(points), int(Kind.TRAVEL))
    return replace(path, kind=kind, line=np.full(len(points), -1), joint=joint, node=node)


def needles(path: Path) -> Floats:
    placed = place_stitches(path)
    return np.column_stack([placed.x, placed.y]) / 10


def lengths(points: Floats) -> Floats:
    found: Floats = np.hypot(*np.diff(points, axis=0).T)
    return found


ROUND_A_CORNER = [
    (398.2, 401.6),
    (400.759, 403.069),
    (400.706, 403.176),
    (400.673, 403.201),
    (400.432, 403.371),
    (400.331, 403.435),
    (398.2, 401.9),
]
"""A way that turns twice within 0.6 mm, as round a narrow island, and leaves by a joint."""


def test_half_a_millimetre_round_a_corner_is_one_stitch() -> None:
    points = needles(travel(*ROUND_A_CORNER, joints=(5,)))
    assert lengths(points).min() >= LEAST_STITCH_MM


@pytest.mark.parametrize(
    ("before", "one", "two", "after"),
    [
        (0.459, (11.986, 0.362), (12.05, 0.428), 2.905),
        (0.741, (4.661, 0.951), (4.722, 1.116), 1.268),
        (0.535, (10.212, 0.736), (10.272, 0.841), 2.198),
        (0.619, (9.489, 0.321), (9.584, 0.392), 2.482),
    ],
)
def test_a_narrow_end_that_is_cut_off_has_no_stitch_too_short(
    before: float, one: tuple[float, float], two: tuple[float, float], after: float
) -> None:
    # some of 4,000 at random that once had stitches of 0.2 mm
    points = needles(travel((0.0, before), one, two, (0.0, after)))
    assert lengths(points).min() >= LEAST_STITCH_MM


def test_one_of_two_corners_too_near_each_other_is_a_needle_point() -> None:
    points = needles(travel((0, 0), (20, 0), (20, 0.2), (0, 1)))
    assert np.hypot(*(points - (20, 0)).T).min() == pytest.approx(0, abs=1e-9) or np.hypot(
        *(points - (20, 0.2)).T
    ).min() == pytest.approx(0, abs=1e-9)


def test_of_two_corners_too_near_each_other_the_sharper_is_a_needle_point() -> None:
    points = needles(travel((0, 0), (19.8, 0), (20, 0.2), (0, 1)))
    assert [20.0, 0.2] in points.tolist()


def test_corners_with_room_are_all_needle_points() -> None:
    corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 0.5), (19.5, 0.5), (19.5, 10.0)]
    points = needles(travel(*corners)).tolist()
    assert [list(corner) in points for corner in corners] == [True] * 5


def test_a_tight_bend_between_two_runs_of_straight_keeps_to_the_way() -> None:
    turn = np.linspace(0, np.pi, 13)
    bend = np.column_stack([30 + 0.5 * np.sin(turn), 0.5 - 0.5 * np.cos(turn)])
    path = travel((0.0, 0.0), *map(tuple, bend.tolist()), (0.0, 1.0))
    points = needles(path)
    assert lengths(points).min() >= LEAST_STITCH_MM
    assert lengths(points).max() <= 3 + 0.15
    # every place of the way lies near the stitches
    start, step = points[:-1], np.diff(points, axis=0)
    apart = path.points[:, None] - start
    share = np.clip((apart * step).sum(-1) / (step * step).sum(-1), 0, 1)
    assert np.hypot(*(apart - share[..., None] * step).T).min(axis=0).max() <= CHORD_ERROR_MM

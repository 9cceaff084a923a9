"""The comparison of a file with its plan: it agrees, and it can disagree in every way."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from loftline.compare import compare, to_panel
from loftline.values import Kind, Sewn
from support_stitch_files import sewn_of

PLANNED = replace(
    sewn_of(
        [[(110, 120), (140, 120), (170, 120)], [(170, 200), (110, 200)]],
        via=[[], [(300, 120)]],
        origin=(100, 100),
    ),
    kind=np.array([Kind.TIE, Kind.LINE, Kind.TIE, Kind.TRAVEL, Kind.LINE], np.int64),
)
READ = sewn_of([[(10, 20), (40, 20), (70, 20)], [(70, 100), (10, 100)]], via=[[], [(200, 20)]])


def change(values: np.ndarray, index: int, by: int) -> np.ndarray:
    changed = values.copy()
    changed[index] += by
    return changed


def keep(sewn: Sewn, which: list[int]) -> Sewn:
    return replace(
        sewn, x=sewn.x[which], y=sewn.y[which], run=sewn.run[which], kind=sewn.kind[which]
    )


def test_what_agrees_gives_no_finding() -> None:
    assert compare(PLANNED, READ) == ()


def test_a_tenth_of_a_millimetre_is_allowed() -> None:
    assert compare(PLANNED, replace(READ, x=change(READ.x, 2, 1))) == ()


@pytest.mark.parametrize(
    ("spoil", "point", "words"),
    [
        (lambda s: replace(s, x=change(s.x, 2, 2)), 3, "0.2 mm from its place"),
        (lambda s: replace(s, y=change(s.y, 0, -2)), 1, "0.2 mm from its place"),
        (lambda s: replace(s, x=change(s.x, 1, 1), y=change(s.y, 1, 1)), 2, "0.1 mm from"),
        (lambda s: keep(s, [0, 1, 2, 3]), 5, "5 needle points were planned, it has 4"),
        (lambda s: keep(s, [0, 1, 2, 3, 4, 4]), 6, "5 needle points were planned, it has 6"),
        (lambda s: keep(s, [0, 2, 3, 4]), 2, "from its place"),
        (lambda s: keep(s, [0, 2, 1, 3, 4]), 2, "from its place"),
        (lambda s: keep(s, [4, 3, 2, 1, 0]), 1, "from its place"),
        (lambda s: replace(s, run=np.zeros(5, np.int64)), 4, "cut before it is missing"),
        (lambda s: replace(s, run=np.array([0, 1, 1, 2, 2])), 2, "was not planned"),
        (lambda s: replace(s, run=np.array([0, 0, 0, 0, 1])), 4, "cut before it is missing"),
    ],
)
def test_every_kind_of_deviation_is_found(
    spoil: Callable[[Sewn], Sewn], point: int, words: str
) -> None:
    (finding,) = compare(PLANNED, spoil(READ), file="a.dst")
    assert finding.code == "file-differs"
    assert finding.severity == "error"
    assert f"a.dst, needle point {point} near" in finding.where
    assert words in finding.message


def test_the_origin_counts() -> None:
    (finding,) = compare(replace(PLANNED, origin=(0, 0)), READ)
    assert "needle point 1 " in finding.where


def test_numbers_of_runs_may_begin_anywhere() -> None:
    assert compare(replace(PLANNED, run=PLANNED.run + 7), READ) == ()


def test_to_panel_moves_points_and_places_and_takes_the_kinds() -> None:
    there = to_panel(READ, PLANNED)
    assert there.x.tolist() == PLANNED.x.tolist()
    assert there.y.tolist() == PLANNED.y.tolist()
    assert there.via.tolist() == [[300, 120]]
    assert there.kind.tolist() == PLANNED.kind.tolist()
    assert there.origin == PLANNED.origin


def test_to_panel_takes_no_kinds_for_another_number_of_points() -> None:
    assert to_panel(keep(READ, [0, 1]), PLANNED).kind.tolist() == [0, 0]

"""Folding against values and code from outside.

Sources: shapely.affinity (GEOS' reference of plane transforms) for reflections; the geometry
of half-circle bends for the room at a fold; common practice of bag patterns for the place of
a closure; the plane of complex numbers for places brought over many folds.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings, strategies as st

from loftline.errors import ProjectError
from loftline.panel import make_panel
from loftline.panel.fold_room import least_room
from loftline.panel.folding import reflection
from loftline.project import parse_project
from loftline.values import Panel, Point

POUCH = {"shape": "folded pouch", "width": 250, "body": 150, "flap": 110, "flap_inset": 3}
MAGNET = {"name": "magnet", "kind": "sew-in magnet", "diameter": 10, "mate": True}


def panel_of(panel: dict[str, Any], **more: Any) -> Panel:  # noqa: ANN401 - any table of the file
    document = {"format": 1, "name": "Spoke pouch", "panel": panel}
    return make_panel(parse_project(document | {"fills": [{"pattern": "channel"}]} | more))


def mate_of(panel: dict[str, Any], at: Point, **more: Any) -> Point | None:  # noqa: ANN401
    """Where the other half lies; ``None`` where the place closes onto nothing."""
    try:
        pieces = panel_of(panel, hardware=[MAGNET | {"at": list(at)}], **more).pieces
    except ProjectError:
        return None
    return pieces[1].at if len(pieces) > 1 else None


def mirrored(point: Point, start: Point, end: Point) -> Point:
    """The reference: shapely turns the fold level, turns the plane over, turns it back."""
    angle = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    moved = shapely.affinity.rotate(shapely.Point(point), -angle, origin=start)
    moved = shapely.affinity.scale(moved, xfact=1, yfact=-1, origin=start)
    moved = shapely.affinity.rotate(moved, angle, origin=start)
    return (moved.x, moved.y)


@pytest.mark.parametrize("degrees", range(0, 180, 15))
@pytest.mark.parametrize("point", [(0.0, 0.0), (75.0, 378.0), (-31.5, 12.25)])
def test_a_fold_mirrors_as_shapely_does(degrees: int, point: Point) -> None:
    start = (20.0, 45.0)
    turn = math.radians(degrees)
    end = (start[0] + 130 * math.cos(turn), start[1] + 130 * math.sin(turn))
    expected = mirrored(point, start, end)
    assert reflection(start, end)(point) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("start", "end", "point", "expected"),
    [
        # by hand: over y = x the coordinates change places
        ((0.0, 0.0), (50.0, 50.0), (30.0, 10.0), (10.0, 30.0)),
        # by hand: the fold runs 3 across and 4 up through (10, 20). From there (17, 21) lies
        # (7, 1) away: along (3, 4)/5 that is 5, across it (4, -3)/5 it is 5, so turned over
        # it lies 5 along and -5 across: (3, 4) - (4, -3) = (-1, 7)
        ((10.0, 20.0), (13.0, 24.0), (17.0, 21.0), (9.0, 27.0)),
    ],
)
def test_a_fold_mirrors_as_reckoned_by_hand(
    start: Point, end: Point, point: Point, expected: Point
) -> None:
    assert reflection(start, end)(point) == pytest.approx(expected, abs=1e-12)


def test_the_magnets_of_the_spoke_pouch_meet() -> None:
    # by hand: y = 378 hangs 78 past the upper fold at 300, so it comes to lie on the back at
    # 222, which is 72 above the lower fold at 150; the front lies against it 72 below, at 78
    assert mate_of(POUCH, (75.0, 378.0)) == pytest.approx((75.0, 78.0))


@pytest.mark.parametrize(
    ("thickness", "contents", "expected"),
    [(4.5, 0.0, 4.82), (4.5, 20.0, 10.53), (0.0, 0.0, 0.0)],
)
def test_room_that_a_fold_needs(thickness: float, contents: float, expected: float) -> None:
    # half-circle bends: pi (g + 2 t)/4 - (g + t)/2
    assert round(least_room(thickness, contents), 2) == expected


@pytest.mark.parametrize("contents", [0.0, 20.0])
def test_the_other_half_moves_by_twice_the_missing_room(contents: float) -> None:
    # a front that ends 3 mm below the fold lacks the rest; the flap's reach loses it twice
    layers = {"outer": {"thickness": 0.5}, "foam": {"thickness": 4}, "contents": contents}
    pouch = POUCH | {"seam_allowance": 3, "fold_room": "move the other half"}
    missing = math.pi * (contents + 2 * 4.5) / 4 - (contents + 4.5) / 2 - 3
    found = mate_of(pouch, (125.0, 378.0), layers=layers)
    assert found == pytest.approx((125.0, 78.0 - 2 * missing), abs=1e-6)


def test_a_closure_sits_an_inch_and_a_half_in_from_the_flap_edge() -> None:
    # common practice of bag patterns: on the centre line, 38 mm (1 1/2 in) in from the edge
    at = {"from": "flap edge", "distance": "1 1/2 in"}
    first, other = panel_of(POUCH, hardware=[MAGNET | {"at": at}]).pieces
    assert first.at == pytest.approx((125.0, 410 - 38.1))
    # by hand: 71.9 past the upper fold, so 71.9 below the front's top edge when closed, and
    # that edge, y = 0, closes onto the upper fold
    assert other.at == pytest.approx((125.0, 71.9))


# --- over random trees of folds -------------------------------------------------------------


def turned(point: complex, start: complex, end: complex) -> complex:
    """A reflection in complex numbers: the conjugate, turned to the fold's direction."""
    along = end - start
    return start + along / along.conjugate() * (point - start).conjugate()


@st.composite
def strips(draw: st.DrawFn) -> tuple[dict[str, Any], list[tuple[complex, complex]]]:
    """A strip with up to five folds across it, and the folds from below upward."""
    width = draw(st.integers(60, 200))
    steps = draw(st.lists(st.integers(50, 120), min_size=2, max_size=6))
    levels = np.cumsum(steps).tolist()
    slants = draw(st.lists(st.integers(-12, 12), min_size=len(steps), max_size=len(steps)))
    folds = [
        (complex(0, y - slant), complex(width, y + slant))
        for y, slant in zip(levels[:-1], slants, strict=False)
    ]
    listed = draw(st.permutations(list(enumerate(folds))))
    table = {
        "shape": "rectangle",
        "width": width,
        "height": levels[-1],
        "seam_allowance": 0,
        "folds": [
            {"name": f"fold {i}", "from": [a.real, a.imag], "to": [b.real, b.imag]}
            for i, (a, b) in listed
        ],
    }
    return table, folds


def brought(point: complex, folds: list[tuple[complex, complex]]) -> list[complex]:
    """The place on every part, from below upward, that a point of the strip meets when folded.

    Own derivation: past one fold the plane is turned over once, so a point seen from the
    next part is turned over the fold between; and so on from part to part, both ways.
    """
    level = [(a.imag + (b - a).imag * point.real / (b - a).real) for a, b in folds]
    home = sum(point.imag > y for y in level)
    below, above = [point], [point]
    for a, b in reversed(folds[:home]):
        below.append(turned(below[-1], a, b))
    for a, b in folds[home:]:
        above.append(turned(above[-1], a, b))
    return [*reversed(below[1:]), *above]


def on_part(place: complex, number: int, folds: list[tuple[complex, complex]]) -> float:
    """How far inside part ``number`` a place lies, between the folds below and above it."""
    far = math.inf
    for side, fold in ((1, folds[number - 1 : number]), (-1, folds[number : number + 1])):
        for a, b in fold:
            across = ((place - a) * (b - a).conjugate()).imag / abs(b - a)
            far = min(far, side * across)
    return far


@settings(max_examples=120, deadline=None)
@given(strip=strips(), x=st.floats(0.2, 0.8), y=st.floats(0.02, 0.98))
def test_a_mate_lies_where_one_of_the_parts_is_brought(
    strip: tuple[dict[str, Any], list[tuple[complex, complex]]], x: float, y: float
) -> None:
    table, folds = strip
    at = complex(x * table["width"], y * table["height"])
    places = brought(at, folds)
    home = places.index(at)
    if on_part(at, home, folds) < 1:
        return  # beside a fold: rounding says which part it is
    width, height = table["width"], table["height"]
    meets = [
        place
        for number, place in enumerate(places)
        if number != home
        and min(place.real, width - place.real, place.imag, height - place.imag) > 1e-6
        and on_part(place, number, folds) > 1e-6
    ]
    found = mate_of(table, (at.real, at.imag))
    if found is None:
        assert not [place for place in meets if min(place.real, width - place.real) > 1]
    else:
        assert min(abs(complex(*found) - place) for place in places) < 1e-6
        assert min(abs(complex(*found) - place) for place in meets) < 1e-6


@settings(max_examples=120, deadline=None)
@given(strip=strips(), x=st.floats(0.2, 0.8), y=st.floats(0.02, 0.98))
def test_a_mate_folded_twice_comes_back_in_a_strip_of_two_parts(
    strip: tuple[dict[str, Any], list[tuple[complex, complex]]], x: float, y: float
) -> None:
    table, _ = strip
    table["folds"] = table["folds"][:1]  # of more than two parts the next one out may be meant
    at = (x * table["width"], y * table["height"])
    there = mate_of(table, at)
    back = None if there is None else mate_of(table, there)
    assert (there is None) == (back is None)
    if back is not None:
        assert back == pytest.approx(at, abs=1e-6)


def test_what_is_brought_over_level_folds_is_reckoned_by_hand() -> None:
    # the reference itself, by hand: folds at 100 and 200; 30 is brought to 170, then to 230
    folds = [(0j + 100j, 200 + 100j), (0j + 200j, 200 + 200j)]
    places = brought(50 + 30j, folds)
    assert [place.imag for place in places] == pytest.approx([30.0, 170.0, 230.0])
    assert all(a.real == pytest.approx(b.real) for a, b in pairwise(places))

"""Promises of folding over random panels, folds and places."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings, strategies as st

from loftline.errors import ProjectError
from loftline.panel import closed_faces, make_panel
from loftline.panel.folding import folded, mate_in, reflection
from loftline.project import parse_project
from loftline.values import Panel

NUMBER = st.floats(-500, 500)
PLACE = st.tuples(NUMBER, NUMBER)


@st.composite
def folded_panels(draw: st.DrawFn) -> Panel:
    """A rectangle with up to four folds across, slanted by up to a few centimetres."""
    width = draw(st.integers(60, 300))
    steps = draw(st.lists(st.integers(40, 150), min_size=2, max_size=5))
    height = sum(steps)
    slant = draw(st.integers(-15, 15))
    levels = np.cumsum(steps)[:-1].tolist()
    folds = [
        {"name": f"fold {i}", "from": [0, y - slant], "to": [width, y + slant]}
        for i, y in enumerate(levels)
    ]
    folds = draw(st.permutations(folds))
    panel = {"shape": "rectangle", "width": width, "height": height, "folds": folds}
    fills = [{"pattern": "channel"}]
    return make_panel(parse_project({"format": 1, "name": "x", "panel": panel, "fills": fills}))


@given(start=PLACE, end=PLACE, point=PLACE)
def test_a_reflection_agrees_with_shapely(
    start: tuple[float, float], end: tuple[float, float], point: tuple[float, float]
) -> None:
    along = np.subtract(end, start)
    if np.hypot(*along) < 1:
        return
    angle = np.degrees(np.arctan2(along[1], along[0]))
    other = shapely.affinity.rotate(shapely.Point(point), -angle, origin=start)
    other = shapely.affinity.scale(other, yfact=-1, origin=start)
    other = shapely.affinity.rotate(other, angle, origin=start)
    found = reflection(start, end)(point)
    assert found == pytest.approx((other.x, other.y), abs=1e-6)


@settings(max_examples=40)
@given(panel=folded_panels(), share=st.tuples(st.floats(0.05, 0.95), st.floats(0.05, 0.95)))
def test_both_halves_meet_in_the_closed_bag(panel: Panel, share: tuple[float, float]) -> None:
    places = folded(panel.parts, panel.folds)
    assert len(places) == len(panel.parts)
    for part in panel.parts:
        x0, y0, x1, y1 = part.area.bounds
        point = (x0 + share[0] * (x1 - x0), y0 + share[1] * (y1 - y0))
        found = mate_in(folded(panel.parts, panel.folds), panel.parts, part.name, point)
        if found is None or not part.area.covers(shapely.Point(point)):
            continue
        other, at = found
        assert places[other][0](at) == pytest.approx(places[part.name][0](point), abs=1e-6)


@settings(max_examples=40)
@given(panel=folded_panels())
def test_the_closed_faces_show_no_place_twice(panel: Panel) -> None:
    for face in closed_faces(panel):
        shown = [part.area for part in face.parts]
        together = shapely.union_all(shown).area
        assert together == pytest.approx(sum(area.area for area in shown), abs=1e-3)


@settings(max_examples=60)
@given(x=st.floats(40, 200), y=st.floats(1, 399))
def test_a_mate_folded_twice_comes_back(x: float, y: float) -> None:
    panel = {"shape": "folded pouch", "width": 250, "body": 150, "flap": 110}

    def mate(at: tuple[float, float], half: object) -> tuple[float, float] | None:
        piece = {"name": "m", "kind": "sew-in magnet", "diameter": 10, "at": at, "mate": half}
        fills = [{"pattern": "channel"}]
        document = {"format": 1, "name": "x", "panel": panel, "fills": fills, "hardware": [piece]}
        try:
            pieces = make_panel(parse_project(document)).pieces
        except ProjectError:
            return None  # it closes onto nothing
        return pieces[1].at if len(pieces) > 1 else None

    there = mate((x, y), True)
    # the front lies between back and flap and may close onto either
    home = "front" if y < 150 else "back" if y < 300 else "flap"
    if there is not None and y not in (150, 300):
        assert mate(there, {"on": home}) == pytest.approx((x, y), abs=1e-6)

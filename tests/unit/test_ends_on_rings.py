"""The designs tell where their lines end on the ways, and the network looks up no end again."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.clips import NOT_MADE, Border, Clip, Cuts, rings_at
from loftline.fills.on_rings import ends_on_rings
from loftline.project import Project, parse_project
from loftline.runs import ends as ends_of_runs, make_network
from loftline.values import Floats, Ints, OnRings, Ways
from support_ends import PANELS, compared, drawn, faults
from support_fills import CURVED, MOTIFS, PLAIN, STRAIGHT, WAVY

KNOWN = {
    name: fill
    for name, fill in (PLAIN | STRAIGHT | WAVY | CURVED).items()
    if name != "meander from edge to edge"
}


def project(panel: str, *fills: dict[str, Any]) -> Project:
    spaced = [fill if "motif" in fill else {"spacing": 15} | fill for fill in fills]
    return parse_project({"format": 1, "name": "Spoke pouch", **PANELS[panel], "fills": spaced})


def looked_up(made: Project, monkeypatch: pytest.MonkeyPatch) -> int:
    """How many line ends the network looks up."""
    panel, lines = drawn(made)
    asked: list[int] = []

    def counted(places: Floats, ways: Ways) -> tuple[Ints, Ints, Floats]:
        if places is not ways.joints:
            asked.append(len(places))
        return rings_at(places, ways)

    monkeypatch.setattr(ends_of_runs, "rings_at", counted)
    make_network(panel, lines)
    return sum(asked)


@pytest.mark.parametrize("fill", KNOWN)
@pytest.mark.parametrize("panel", PANELS)
def test_ends_lie_where_a_look_up_finds_them(panel: str, fill: str) -> None:
    ends = compared(*drawn(project(panel, KNOWN[fill])))
    assert faults(ends) == []
    assert (ends.handed != OnRings.UNKNOWN).all()


@pytest.mark.parametrize("fill", ["channel", "grid", "echo", "spiral", "rays", "meander"])
@pytest.mark.parametrize("panel", PANELS)
def test_no_end_is_looked_up(panel: str, fill: str, monkeypatch: pytest.MonkeyPatch) -> None:
    assert looked_up(project(panel, PLAIN[fill]), monkeypatch) == 0


def test_no_end_of_parts_that_meet_at_folds_is_looked_up(monkeypatch: pytest.MonkeyPatch) -> None:
    made = project(
        "folds",
        {"part": "front", "pattern": "channel"},
        {"part": "back", "pattern": "grid"},
        {"part": "flap", "pattern": "rays"},
    )
    ends = compared(*drawn(made))
    assert (ends.handed == OnRings.NONE).any()  # on the folds
    assert faults(ends) == []
    assert looked_up(made, monkeypatch) == 0


def test_ends_of_motifs_are_looked_up(monkeypatch: pytest.MonkeyPatch) -> None:
    # so the counting above can find any
    assert looked_up(project("rounded", MOTIFS["wave"]), monkeypatch) > 0


@pytest.mark.parametrize("fill", ["channel", "grid", "wavy", "spiral", "rays", "bent"])
@pytest.mark.parametrize("panel", PANELS)
def test_the_network_is_that_of_a_look_up(panel: str, fill: str) -> None:
    made, lines = drawn(project(panel, KNOWN[fill]))
    handed, found = make_network(made, lines), make_network(made, replace(lines, ends=None))
    assert np.array_equal(handed.u, found.u)
    assert np.array_equal(handed.v, found.v)
    assert np.abs(handed.nodes - found.nodes).max() < 1e-9


def test_ends_that_were_moved_are_found_where_they_are() -> None:
    panel, lines = drawn(project("rounded", PLAIN["channel"]))
    network = make_network(panel, lines)
    moved = replace(lines, points=network.line_points, starts=network.line_starts)
    again = make_network(panel, moved)
    assert np.array_equal(again.nodes, network.nodes)


@pytest.mark.parametrize("slip", [0.01, -1.0])
def test_a_place_beside_the_end_is_noticed(slip: float) -> None:
    panel, lines = drawn(project("rounded", PLAIN["channel"]))
    assert lines.ends is not None
    wrong = replace(lines.ends, along=lines.ends.along + slip)
    assert faults(compared(panel, replace(lines, ends=wrong)))


RING = shapely.Polygon(
    [(0, 0), (100, 0), (100, 60), (0, 60)], [[(20, 20), (20, 40), (40, 40), (40, 20)]]
)


def test_marks_run_on_from_ring_to_ring() -> None:
    border = Border.of(RING)
    assert border.mark.tolist() == [0, 100, 160, 260, 320, 340, 360, 380]
    assert border.place(np.array([130.0, 330.0])).tolist() == [[100, 30], [20, 30]]


def clipped(*curves: list[tuple[float, float]]) -> Cuts:
    drawn_curves = np.array([shapely.LineString(curve) for curve in curves], dtype=object)
    return Clip.to(RING).curves(drawn_curves).cuts


def test_a_clip_marks_the_ends_that_it_makes() -> None:
    cuts = clipped([(-10, 30), (110, 30)])
    asked = np.array([(0.0, 30.0), (20.0, 30.0), (40.0, 30.0), (100.0, 30.0)])
    assert cuts.at(asked).tolist() == [290, 330, 370, 130]


def test_an_end_inside_is_not_made_by_the_border() -> None:
    cuts = clipped([(50, 10), (110, 10)])
    assert cuts.at(np.array([(50.0, 10.0), (100.0, 10.0)])).tolist() == [NOT_MADE, 110]


def test_a_curve_that_begins_on_the_border_is_looked_up() -> None:
    panel, _ = drawn(project("no travel along the edge", PLAIN["channel"]))
    curve = np.array([panel.ways.points[:2].mean(axis=0), (130.0, 150.0)])
    found = ends_on_rings([curve], Cuts.none(), panel.sewable, panel.ways)
    assert found.ring.tolist() == [[OnRings.UNKNOWN, OnRings.NONE]]


def test_a_spiral_that_begins_on_the_edge_is_found_there() -> None:
    corner = {"pattern": "spiral", "start_at": [0, 0], "spacing": 9}
    made = parse_project(
        {
            "format": 1,
            "name": "Spoke pouch",
            "panel": {"shape": "rectangle", "width": 50, "height": 40, "overhang": 0},
            "fills": [corner],
            "quilting": {"edge": "none"},
        }
    )
    made = made.model_copy(update={"panel": made.panel.model_copy(update={"seam_allowance": 0.0})})
    ends = compared(*drawn(made))
    assert (ends.found >= 0).any()
    assert faults(ends) == []

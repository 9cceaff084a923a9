"""Edges by their names: on every shape, on polygons and drawings, and what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from loftline.errors import ProjectError
from loftline.panel import make_panel
from loftline.panel.edges import outline_edges, point_edges
from loftline.project import parse_project, read_project
from loftline.values import Panel, Point

TRIANGLE = [[0, 0], [120, 0], [0, 90]]
SQUARE = {"shape": "rectangle", "width": 100, "height": 60}
SHAPES: dict[str, dict[str, Any]] = {
    "rectangle": SQUARE,
    "ellipse": SQUARE | {"shape": "ellipse"},
    "folded pouch": {"shape": "folded pouch", "width": 100, "body": 60, "flap": 50},
    "flat sleeve": {"shape": "flat sleeve", "width": 100, "body": 60},
    "boxed tote side": {"shape": "boxed tote side", "width": 100, "height": 90, "depth": 40},
    "base": SQUARE | {"shape": "base"},
    "zip pouch side": SQUARE | {"shape": "zip pouch side", "corner_radius": 15},
    "strap": {"shape": "strap", "length": 100, "width": 60},
}


def panel_of(panel: dict[str, Any], at: object) -> Panel:
    piece = {"name": "eyelet", "kind": "eyelet", "at": at}
    document = {"panel": panel, "hardware": [piece], "fills": [{"pattern": "channel"}]}
    return make_panel(parse_project(document))


def spot(panel: dict[str, Any], at: object) -> Point:
    return panel_of(panel, at).pieces[0].at


@pytest.mark.parametrize(
    ("shape", "edge", "expected"),
    [
        # by hand: 12 mm in from the middle of the edge
        ("rectangle", "top", (50, 48)),
        ("ellipse", "left", (12, 30)),
        ("folded pouch", "flap edge", (50, 158)),
        ("folded pouch", "front edge", (50, 12)),
        ("folded pouch", "right", (88, 60)),
        ("flat sleeve", "back edge", (50, 108)),
        ("flat sleeve", "left", (12, 60)),
        ("boxed tote side", "top", (50, 78)),
        ("boxed tote side", "bottom", (50, 12)),
        ("boxed tote side", "left", (12, 55)),
        ("base", "right", (88, 30)),
        ("zip pouch side", "zip edge", (50, 48)),
        ("zip pouch side", "bottom", (50, 12)),
        ("strap", "top", (50, 48)),
        ("strap", "left", (12, 30)),
    ],
)
def test_a_place_in_from_an_edge(shape: str, edge: str, expected: Point) -> None:
    assert spot(SHAPES[shape], {"from": edge, "distance": 12}) == pytest.approx(expected)


@pytest.mark.parametrize("shape", SHAPES)
def test_a_wrong_edge_is_answered_with_those_there_are(shape: str) -> None:
    with pytest.raises(ProjectError) as caught:
        panel_of(SHAPES[shape], {"from": "lefd", "distance": 12})
    (fault,) = caught.value.faults
    assert fault.where == "hardware[0].at.from"
    assert '"right"' in fault.message
    assert fault.message.endswith('did you mean "left"?')


@pytest.mark.parametrize("points", [TRIANGLE, TRIANGLE[::-1]])
def test_the_edges_of_a_polygon_lead_inward_either_way_round(points: list[list[float]]) -> None:
    panel = {"shape": "polygon", "points": points, "seam_allowance": 5}
    # by hand: the long side from (120, 0) to (0, 90) has its middle at (60, 45) and the
    # normal (-3, -4) / 5, so 10 mm in lie (6, 8) toward the corner at zero
    long = "edge 2" if points is TRIANGLE else "edge 1"
    assert spot(panel, {"from": long, "distance": 10}) == pytest.approx((54, 37))
    assert spot(panel, {"from": "bottom", "distance": 10}) == pytest.approx((60, 10))


def test_edges_are_counted_in_the_order_of_the_points() -> None:
    edges = point_edges(np.array(TRIANGLE, float))
    assert {name: edge.at for name, edge in edges.items() if name.startswith("edge")} == {
        "edge 1": (60, 0),
        "edge 2": (60, 45),
        "edge 3": (0, 45),
    }


def test_a_side_with_two_edges_on_it_has_no_name() -> None:
    notched = np.array([[0, 0], [90, 0], [90, 60], [60, 60], [60, 40], [30, 40], [30, 60], [0, 60]])
    assert "top" not in point_edges(notched.astype(float))
    assert "bottom" in point_edges(notched.astype(float))


def test_two_edges_of_a_polygon_give_a_place() -> None:
    panel = {"shape": "polygon", "points": TRIANGLE, "seam_allowance": 5}
    at = {"from": ["edge 1", "edge 3"], "distance": [20, 15]}
    assert spot(panel, at) == pytest.approx((15, 20))


def test_a_row_keeps_to_its_own_edge() -> None:
    # an L: the inner edge from (60, 40) to (100, 40) is 40 long, the panel there 100 wide
    points = [[0, 0], [100, 0], [100, 40], [60, 40], [60, 90], [0, 90]]
    panel = {"shape": "polygon", "points": points}
    pieces = panel_of(panel, {"along": "edge 3", "distance": 15, "every": 20}).pieces
    assert [piece.at for piece in pieces] == [(70, 25), (90, 25)]


def test_a_polygon_tells_its_edges_by_their_middles() -> None:
    with pytest.raises(ProjectError, match=r'"edge 2" \(middle \(60, 45\)\)'):
        panel_of({"shape": "polygon", "points": TRIANGLE}, {"from": "slope", "distance": 9})


def test_a_long_list_of_edges_is_told_by_its_ends() -> None:
    turn = np.linspace(0, 2 * np.pi, 3000, endpoint=False)
    points = (200 + 200 * np.column_stack([np.cos(turn), np.sin(turn)])).round(6).tolist()
    with pytest.raises(ProjectError, match=r'has "edge 1" to "edge 3000"$'):
        panel_of({"shape": "polygon", "points": points}, {"from": "edge 9000", "distance": 9})


def test_a_drawing_has_its_straight_edges(tmp_path: Path) -> None:
    # a round flap on a square: curves give no edge, the lower left corner comes first
    drawing = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="120mm" '
    drawing += 'viewBox="0 0 100 120"><path d="M 100 60 V 120 H 0 V 60 A 50 50 0 0 1 100 60 Z"/>'
    (tmp_path / "flap.svg").write_text(drawing + "</svg>", encoding="utf-8")
    (tmp_path / "p.toml").write_text(
        'format = 1\n[panel]\nshape = "file"\nfile = "flap.svg"\n'
        '[[hardware]]\nkind = "eyelet"\nat = { from = "edge 2", distance = 12 }\n'
        '[[hardware]]\nkind = "eyelet"\nat = { from = ["bottom", "left"], distance = [20, 30] }\n'
        '[[fills]]\npattern = "channel"\n',
        encoding="utf-8",
    )
    panel = make_panel(read_project(tmp_path / "p.toml"))
    assert [piece.at for piece in panel.pieces] == [
        pytest.approx((88, 30)),
        pytest.approx((30, 20)),
    ]
    straight = [name for name in outline_edges(panel.outline) if name.startswith("edge")]
    assert straight == ["edge 1", "edge 2", "edge 3"]


@pytest.mark.parametrize(
    ("edges", "far", "says"),
    [
        ("top", [10, 20], 'found two, 10 mm and 20 mm, for the one edge "top"; give one distance'),
        (["top", "left"], 10, 'found one, 10 mm, for "top" and "left"; give a list of two'),
    ],
)
def test_distances_unlike_the_edges_are_told_with_the_faults_of_other_pieces(
    edges: object, far: object, says: str
) -> None:
    at: list[object] = [
        {"from": edges, "distance": far},
        [500, 500],
        {"from": "lefd", "distance": 9},
    ]
    pieces = [{"name": f"eyelet {i}", "kind": "eyelet", "at": place} for i, place in enumerate(at)]
    document = {"panel": SQUARE, "hardware": pieces, "fills": [{"pattern": "channel"}]}
    with pytest.raises(ProjectError) as caught:
        make_panel(parse_project(document))
    found = {fault.where: fault.message for fault in caught.value.faults}
    assert list(found) == ["hardware[0].at.distance", "hardware[1].at", "hardware[2].at.from"]
    assert found["hardware[0].at.distance"] == says

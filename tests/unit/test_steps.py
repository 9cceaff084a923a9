"""Steps: ways from lines that touch no edge to the lines beside them."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from loftline.errors import does_nothing
from loftline.geometry import strokes
from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.runs import make_network, plan_runs
from loftline.runs.costs import CUT_INSIDE_COST, DOUBLE_COST
from loftline.values import Lines, Network, Way
from support_rings import as_lines, caddy, check_promises, circle, free, levels, sew

KEEP_OUTS = [(110.0, 180.0, 20.0), (220.0, 380.0, 20.0)]


def drawn_steps(network: Network) -> np.ndarray:
    step = np.flatnonzero(network.way == Way.STEP)
    start, end = network.nodes[network.u[step]], network.nodes[network.v[step]]
    # without the last hair, which lies on the lines
    return strokes(start + 1e-3 * (end - start), end - 1e-3 * (end - start))


def joined(*parts: Lines) -> Lines:
    curves = [part.line(i) for part in parts for i in range(len(part))]
    closed = [bool(c) for part in parts for c in part.closed]
    family = [10 * k + int(f) for k, part in enumerate(parts) for f in part.family]
    return as_lines(curves, closed, family)


@pytest.fixture(scope="module")
def echo() -> tuple[Network, Lines]:
    """Closed lines every 8 mm on a panel of 330 x 546 with two keep-outs."""
    panel = make_panel(caddy(330, 546, KEEP_OUTS))
    lines = as_lines(levels(free(panel), 8))
    return make_network(panel, lines), lines


@pytest.mark.parametrize("count", [2, 5, 9])
def test_circles_inside_each_other_take_one_step_each(count: int) -> None:
    made = sew(caddy(220, 220, []), as_lines([circle(110, 110, 15 + 9 * k) for k in range(count)]))
    # a polygon's flat sides lie nearer to each other than 9 mm, by less than 0.02 mm here
    assert made.runs.cost == pytest.approx(DOUBLE_COST * 9 * (count - 1), abs=0.05 * count)


def test_circles_inside_each_other_are_one_run_in_the_plan() -> None:
    made = sew(caddy(220, 220, []), as_lines([circle(110, 110, 15 + 9 * k) for k in range(9)]))
    assert len(made.runs.starts) - 1 == 1


def test_circles_too_far_apart_for_a_step_are_runs_of_their_own() -> None:
    lines = as_lines([circle(60, 110, 20), circle(260, 110, 20)])
    made = sew(caddy(330, 220, []), lines)
    assert made.runs.cost == pytest.approx(CUT_INSIDE_COST)


def test_the_cost_of_closed_lines_is_proved_to_three_parts_in_a_hundred(
    echo: tuple[Network, Lines],
) -> None:
    runs = plan_runs(echo[0])
    first = 2 * CUT_INSIDE_COST / 2
    assert (runs.cost - runs.least_cost) / (runs.cost + first) < 0.03


def test_steps_keep_within_what_may_be_sewn(echo: tuple[Network, Lines]) -> None:
    panel = make_panel(caddy(330, 546, KEEP_OUTS))
    ground = shapely.buffer(panel.sewable, 1e-6)
    shapely.prepare(ground)
    assert shapely.covers(ground, drawn_steps(echo[0])).all()


def test_steps_cross_no_line(echo: tuple[Network, Lines]) -> None:
    network, lines = echo
    whole = shapely.MultiLineString([lines.line(i) for i in range(len(lines))])
    shapely.prepare(whole)
    assert not shapely.intersects(whole, drawn_steps(network)).any()


def test_steps_join_all_closed_lines(echo: tuple[Network, Lines]) -> None:
    network, lines = echo
    owner = np.full(len(network.nodes), -1)
    owner[network.u[network.required]] = network.line[network.required]
    step = np.flatnonzero(network.way == Way.STEP)
    met = np.unique(np.concatenate([owner[network.u[step]], owner[network.v[step]]]))
    assert len(np.setdiff1d(met, [-1])) == len(lines)


def test_steps_grow_with_the_length_of_the_lines() -> None:
    counts = []
    for side in (200, 400):
        panel = make_panel(caddy(side, side, []))
        lines = as_lines(levels(free(panel), 8))
        network = make_network(panel, lines)
        counts.append(int((network.way == Way.STEP).sum()))
    # four times the length of line
    assert counts[1] < 5 * counts[0]


def test_lines_that_end_on_the_edge_ask_for_no_steps() -> None:
    project = parse_project(
        {
            "format": 1,
            "name": "Workbench caddy",
            "panel": {"shape": "rectangle", "width": 100, "height": 100},
            "fills": [{"pattern": "channel", "spacing": 12}],
            "quilting": {"edge": "none"},
        }
    )
    panel = make_panel(project)
    rows = [np.array([[x, 2.0], [x, 98.0]]) for x in (20.0, 32.0, 44.0)]
    low, high = panel.sewable.bounds[1], panel.sewable.bounds[3]
    for row in rows:
        row[:, 1] = low, high
    network = make_network(panel, as_lines(rows, [False] * 3))
    assert not (network.way == Way.STEP).any()


def test_a_closed_line_steps_to_the_edge_that_may_be_travelled_along() -> None:
    panel = make_panel(caddy(200, 200, [], edge="overhang"))
    network = make_network(panel, as_lines([circle(100, 100, 90), circle(100, 100, 20)]))
    edge = np.unique(network.u[network.way == Way.EDGE])
    step = np.flatnonzero(network.way == Way.STEP)
    assert np.isin(np.concatenate([network.u[step], network.v[step]]), edge).any()


def test_a_closed_line_alone_asks_for_no_steps() -> None:
    panel = make_panel(caddy(200, 200, [], edge="overhang"))
    network = make_network(panel, as_lines([circle(100, 100, 90)]))
    assert not (network.way == Way.STEP).any()


def test_no_step_meets_an_edge_without_travel() -> None:
    panel = make_panel(caddy(200, 200, [], edge="none"))
    network = make_network(panel, as_lines([circle(100, 100, 90), circle(100, 100, 80)]))
    apart = shapely.distance(panel.sewable.boundary, drawn_steps(network))
    assert apart.min() > 1


def test_no_step_crosses_a_fold_closed_to_travel() -> None:
    project = parse_project(
        {
            "format": 1,
            "name": "Spoke pouch",
            "panel": {
                "shape": "folded pouch",
                "width": 200,
                "body": 100,
                "flap": 60,
                "folds": [{"name": "upper fold", "closed_to": "travel"}],
            },
            "fills": [{"pattern": "channel", "spacing": 12}],
        }
    )
    panel = make_panel(project)
    fold = next(fold for fold in panel.folds if fold.closed_to == "travel")
    y = fold.start[1]
    lines = as_lines([circle(100, y - 25, 20), circle(100, y + 25, 20), circle(100, y - 25, 12)])
    steps = drawn_steps(make_network(panel, lines))
    assert not shapely.intersects(shapely.linestrings(fold.across), steps).any()


def test_touching_circles_are_one_run_without_travel() -> None:
    row = as_lines([circle(40 + 40 * k, 60, 20) for k in range(4)])
    made = sew(caddy(240, 120, []), row)
    assert (len(made.runs.starts) - 1, made.runs.cost) == (1, 0.0)


def test_petals_that_begin_at_one_point_share_a_node() -> None:
    petals = []
    for k in range(5):
        turn = 2 * np.pi * k / 5
        middle = 110 + 20 * np.cos(turn), 110 + 20 * np.sin(turn)
        petal = circle(*middle, 20)
        nearest = np.hypot(*(petal[:-1] - 110).T).argmin()
        petal = np.roll(petal[:-1], -nearest, axis=0)
        petal[0] = 110, 110
        petals.append(np.concatenate([petal, petal[:1]]))
    made = sew(caddy(220, 220, []), as_lines(petals, family=list(range(5))))
    assert (len(made.runs.starts) - 1, made.runs.cost) == (1, 0.0)


def test_a_stem_that_ends_on_a_ring_has_a_node_there() -> None:
    stem = np.array([[110.0, 90.0], [110.0, 40.0]])
    lines = as_lines([circle(110, 110, 20), stem], [True, False])
    network = make_network(make_panel(caddy(220, 220, [])), lines)
    at_ring = np.hypot(*(network.nodes - [110, 90]).T) < 0.01
    used = np.unique(np.concatenate([network.u, network.v]))
    assert len(np.intersect1d(np.flatnonzero(at_ring), used)) == 1


def test_closed_lines_that_cross_at_their_corners_are_one_run() -> None:
    square = np.array([[50.0, 50], [110, 50], [110, 110], [50, 110], [50, 50]])
    beside = square + np.array([30.0, 30.0])
    lines = as_lines([square, beside, square + np.array([60.0, 60.0])], family=[0, 1, 2])
    made = sew(caddy(220, 220, []), lines)
    assert (len(made.runs.starts) - 1, made.runs.cost) == (1, 0.0)


def test_islands_are_runs_of_their_own() -> None:
    strip = {"name": "strip", "shape": "rectangle", "width": 20, "height": 200, "at": [150, 75]}
    project = caddy(300, 150, [], strips=[strip | {"clearance": 4}])
    lines = as_lines(levels(free(make_panel(project)), 8))
    made = sew(project, lines)
    side = (made.network.nodes[:, 0] > 150).astype(int)
    assert (side[made.network.u] == side[made.network.v]).all()
    assert len(made.runs.starts) - 1 == 2


def test_the_same_lines_give_the_same_steps(echo: tuple[Network, Lines]) -> None:
    again = make_network(make_panel(caddy(330, 546, KEEP_OUTS)), echo[1])
    assert np.array_equal(again.u, echo[0].u)
    assert np.array_equal(again.points, echo[0].points)


CASES = {
    "echo with keep-outs": (caddy(330, 546, KEEP_OUTS), 8.0),
    "along the overhang": (caddy(250, 180, [(80, 90, 15)], edge="overhang"), 7.0),
    "in the seam allowance": (caddy(250, 180, [(80, 90, 15)], edge="seam allowance"), 11.0),
}


@pytest.mark.parametrize("name", CASES)
def test_promises_on_echo(name: str) -> None:
    project, spacing = CASES[name]
    check_promises(sew(project, as_lines(levels(free(make_panel(project)), spacing))))


def test_promises_on_rows_of_petals() -> None:
    curves = []
    for row in range(4):
        for k in range(5):
            share = np.linspace(0, 1, 25)
            for up in (12, -12):
                x, y = 30 + 33 * (k + share), 40 + 40 * row + up * np.sin(np.pi * share)
                curves.append(np.column_stack([x, y]))
    family = list(range(len(curves)))
    made = sew(caddy(240, 200, []), as_lines(curves, [False] * len(curves), family))
    check_promises(made)
    # 16 mm from crest to crest: a run leaves a row where it came to it, so that of the three
    # steps only one is sewn once
    assert made.runs.cost == pytest.approx(5 * 16 * DOUBLE_COST, abs=0.5)


def test_promises_on_a_ring_beside_channels_and_a_keep_out() -> None:
    project = caddy(200, 200, [(100, 100, 25)], edge="overhang")
    panel = make_panel(project)
    zone = circle(100, 100, 29)
    hole = shapely.Polygon(circle(100, 100, 34))
    rows = []
    for x in np.arange(12.0, 200, 12):
        low, high = panel.sewable.bounds[1], panel.sewable.bounds[3]
        row = shapely.LineString([(x, low), (x, high)])
        cut = shapely.intersection(shapely.difference(row, hole), panel.sewable)
        rows += [shapely.get_coordinates(part) for part in shapely.get_parts(cut)]
    lines = joined(as_lines(rows, [False] * len(rows)), as_lines([zone]))
    made = sew(project, lines)
    check_promises(made)
    assert (made.network.way == Way.STEP).any()


def test_rings_beside_channels_cost_no_more_than_a_run_of_their_own() -> None:
    project = caddy(220, 220, [], edge="overhang")
    sewable = make_panel(project).sewable
    hole = shapely.Polygon(circle(110, 110, 60))
    rows = []
    for x in np.arange(14.0, 220, 14):
        row = shapely.LineString([(x, sewable.bounds[1]), (x, sewable.bounds[3])])
        cut = shapely.intersection(shapely.difference(row, hole), sewable)
        rows += [shapely.get_coordinates(part) for part in shapely.get_parts(cut)]
    channels = as_lines(rows, [False] * len(rows))
    rings = as_lines([circle(110, 110, 12 + 9 * k) for k in range(5)])
    alone = sew(project, channels)
    made = sew(project, joined(channels, rings))
    check_promises(made)
    own_run = CUT_INSIDE_COST + 4 * 9 * DOUBLE_COST
    assert made.runs.cost <= alone.runs.cost + own_run + 1


def test_progress_is_told_while_rings_are_joined(echo: tuple[Network, Lines]) -> None:
    told: list[str] = []
    plan_runs(echo[0], step=lambda name, _done, _total: told.append(name))
    assert "joining" in told
    does_nothing("joining", 0, 1)

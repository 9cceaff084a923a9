"""Noding of lines and ways."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.fills import make_fields, make_lines
from loftline.geometry import lengths
from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.runs import QUICK, make_network, plan_runs, to_networkx
from loftline.runs.crossings import find_crossings
from loftline.runs.ends import MERGE_MM
from loftline.runs.freely import least_runs
from loftline.values import Network, Way

MIDDLE = {"name": "k", "shape": "circle", "diameter": 22, "at": [47, 55]}
SQUARE = {"shape": "rectangle", "width": 100, "height": 100}


def network_of(fills: list[dict[str, Any]], **more: Any) -> Network:  # noqa: ANN401 - tables
    document: dict[str, Any] = {"format": 1, "name": "x", "panel": SQUARE, "fills": fills}
    project = parse_project(document | more)
    panel = make_panel(project)
    return make_network(panel, make_lines(project, panel, make_fields(project, panel)))


def test_grid_counts() -> None:
    # upright and level lines at 5, 15, ... 95 of a square: 10 x 10 crossings, 40 ends
    network = network_of([{"pattern": "grid", "angle": 0, "spacing": 10}])
    lines = 2 * len(np.unique(network.line[network.line >= 0])) // 2
    each = lines // 2
    assert len(network.nodes) == each * each + 4 * each
    assert int(network.required.sum()) == 2 * each * (each + 1)
    assert int((network.way == Way.EDGE).sum()) == 4 * each


def test_edges_begin_and_end_at_their_nodes() -> None:
    network = network_of(
        [
            {"pattern": "grid", "angle": [20, 80], "spacing": 9},
            {"pattern": "meander", "spacing": 15},
        ],
        keep_outs=[{"name": "k", "shape": "circle", "diameter": 12, "at": [40, 55]}],
    )
    first = network.points[network.starts[:-1]]
    last = network.points[network.starts[1:] - 1]
    assert np.allclose(first, network.nodes[network.u], atol=0.03)
    assert np.allclose(last, network.nodes[network.v], atol=0.03)
    assert np.allclose(lengths(network.points, network.starts), network.length)
    assert network.length.min() > 0


def test_edges_of_a_line_add_up_to_it() -> None:
    network = network_of([{"pattern": "grid", "angle": 45, "spacing": 8}])
    total = np.bincount(network.line[network.required], network.length[network.required])
    assert total == pytest.approx(lengths(network.line_points, network.line_starts))


def test_three_lines_through_one_point_share_a_node() -> None:
    network = network_of([{"pattern": "grid", "angle": [30, 90, 150], "spacing": 15}])
    degree = np.bincount(np.concatenate([network.u[network.required], network.v[network.required]]))
    assert (degree == 6).sum() > 20


def test_nodes_on_ways_lie_a_stitch_apart() -> None:
    network = network_of(
        [{"pattern": "grid", "angle": [17, 61, 133], "spacing": 5}],
        keep_outs=[{"name": "k", "shape": "rectangle", "width": 22, "height": 9, "at": [40, 55]}],
    )
    assert network.length[~network.required].min() >= MERGE_MM - 1e-9


def test_crossings_agree_with_shapely() -> None:
    rng = np.random.default_rng(3)
    points = rng.uniform(0, 100, (60, 2))
    starts = np.arange(0, 61, 3)
    family = np.arange(20) % 4
    found = find_crossings(points, starts, family)
    lines = [shapely.LineString(points[a : a + 3]) for a in starts[:-1]]
    wanted = 0
    for i in range(len(lines)):
        for j in range(i):
            if family[i] != family[j]:
                met = lines[i].intersection(lines[j])
                wanted += 0 if met.is_empty else int(shapely.get_num_geometries(met))
    assert len(found.points) == wanted
    for point, one, other in zip(found.points, found.first, found.second, strict=True):
        assert lines[one].distance(shapely.Point(point)) < 1e-9
        assert lines[other].distance(shapely.Point(point)) < 1e-9


def test_curves_cross_straight_lines_by_the_tree() -> None:
    # a circle of 400 pieces and a line through it: two crossings, by the searched way too
    turn = np.linspace(0, 2 * np.pi, 401)
    ring = 30 * np.column_stack([np.cos(turn), np.sin(turn)])
    points = np.concatenate([ring, [(-50.0, 7.1), (50.0, 7.1)]])
    found = find_crossings(points, np.array([0, 401, 403]), np.array([0, 1]))
    assert len(found.points) == 2
    assert np.abs(found.points[:, 0]) == pytest.approx(np.sqrt(900 - 7.1**2), abs=1e-2)


def test_no_way_where_it_is_barred() -> None:
    open_edge = network_of([{"pattern": "channel"}])
    barred = network_of([{"pattern": "channel"}], quilting={"edge": "none"})
    assert (open_edge.way == Way.EDGE).any()
    assert not (barred.way == Way.EDGE).any()
    assert len(plan_runs(open_edge).starts) == 2
    assert len(plan_runs(barred).starts) - 1 == len(np.unique(barred.line))


def test_runs_go_straight_over_crossings() -> None:
    network = network_of([{"pattern": "grid", "angle": 0, "spacing": 10}])
    runs = plan_runs(network)
    assert runs.optimal
    line = network.line[runs.edges]
    way = network.way[runs.edges]
    turns = (line[1:] != line[:-1]) & (way[1:] == Way.LINE) & (way[:-1] == Way.LINE)
    # a corner inside is only needed where tours are joined, two for each joint
    joints = len(np.unique(network.line)) // 2
    assert turns.sum() < joints


def test_fewest_cuts_never_has_more_runs() -> None:
    zones = [
        {"name": f"k{i}", "shape": "circle", "diameter": 14, "at": [x, y]}
        for i, (x, y) in enumerate([(30, 30), (70, 40), (45, 75)])
    ]
    network = network_of([{"pattern": "channel", "spacing": 7}], keep_outs=zones)
    cheap, few = plan_runs(network), plan_runs(network, "fewest cuts")
    assert len(few.starts) <= len(cheap.starts)
    assert cheap.cost <= few.cost + 1e-6


def test_fewest_cuts_says_how_few_runs_there_can_be() -> None:
    network = network_of([{"pattern": "channel", "spacing": 7}])
    runs = plan_runs(network, "fewest cuts")
    assert runs.habit is not None
    assert runs.habit.least_runs == len(runs.starts) - 1 == 1


def test_lines_without_ways_between_need_a_run_each() -> None:
    network = network_of([{"pattern": "channel", "spacing": 20}], quilting={"edge": "none"})
    lines = len(network.line_starts) - 1
    assert least_runs(network) == lines == len(plan_runs(network).starts) - 1


def test_where_nothing_is_sewn_over_again_odd_nodes_are_ends() -> None:
    # a star of three lines: two runs, where going back would make it one
    network = network_of([{"pattern": "channel", "spacing": 20}])
    star = replace(
        network,
        nodes=network.nodes[:4],
        u=np.zeros(3, np.int64),
        v=np.arange(1, 4),
        required=np.ones(3, bool),
        once=None,
    )
    assert least_runs(star) == 1
    assert least_runs(replace(star, once=np.ones(3, bool))) == 2


def test_a_quick_plan_proves_no_more_than_a_full_one() -> None:
    network = network_of([{"pattern": "channel", "angle": 45, "spacing": 4}], keep_outs=[MIDDLE])
    full, quick = plan_runs(network), plan_runs(network, effort=QUICK)
    assert quick.least_cost <= full.cost + 1e-6
    assert full.cost <= quick.cost + 1e-6


def test_networkx_view_agrees() -> None:
    network = network_of([{"pattern": "grid", "spacing": 20}])
    graph = to_networkx(network)
    assert graph.number_of_nodes() == len(network.nodes)
    assert graph.number_of_edges() == len(network.u)
    degree = dict.fromkeys(graph.nodes, 0)
    for u, v, data in graph.edges(data=True):
        if data["required"]:
            degree[u] += 1
            degree[v] += 1
    odd = [node for node, count in degree.items() if count % 2]
    assert len(odd) == 2 * len(np.unique(network.line[network.required]))
    assert graph.size(weight="cost") == pytest.approx(network.cost.sum())


def test_no_lines_no_runs() -> None:
    cover = {"name": "c", "shape": "rectangle", "at": [50, 50], "width": 300, "height": 300}
    runs = plan_runs(network_of([{"pattern": "channel"}], keep_outs=[cover]))
    assert len(runs.edges) == 0
    assert runs.cost == runs.least_cost == 0

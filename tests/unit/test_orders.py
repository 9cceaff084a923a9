"""Orders by habit: closed forms by hand, and every direction tried."""

from __future__ import annotations

import itertools
from typing import Any

import networkx as nx
import numpy as np
import pytest

from loftline.fills import make_fields, make_lines
from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.runs import (
    BY_HAND,
    BY_MACHINE,
    QUICK,
    RULES,
    Costs,
    Practice,
    make_network,
    plan_runs,
)
from loftline.runs.laying import first_run, price
from loftline.runs.orders import plan_by_habit
from loftline.runs.orders.channels import Family, channel_families
from loftline.runs.turning import count_turns
from loftline.values import ClosedEdge, Lines, Network, Runs

WIDTH, SPACING, COUNT = 400.0, 20.0, 9
HALF = COUNT // 2
SIDE = 0.5 * SPACING  # travel along the edge from one line to the next, at half the price
CUT = 120.0
LEFT = ClosedEdge(name="left", at=(0, 90), inward=(1, 0))
BOTTOM = ClosedEdge(name="bottom", at=(200, 0), inward=(0, 1))


def made(document: dict[str, Any], costs: Costs = BY_MACHINE) -> tuple[Network, Lines]:
    project = parse_project({"format": 1, "name": "x", **document})
    panel = make_panel(project)
    lines = make_lines(project, panel, make_fields(project, panel))
    return make_network(panel, lines, costs=costs), lines


def strip() -> tuple[Network, Lines]:
    """Nine level lines 20 mm apart, too long to go round for less than a thread cut."""
    return made(
        {
            "panel": {"shape": "rectangle", "width": WIDTH, "height": SPACING * COUNT},
            "fills": [{"pattern": "channel", "angle": 0, "spacing": SPACING}],
        }
    )


def planned(order: str, **practice: Any) -> Runs:  # noqa: ANN401 - how she sews
    network, lines = strip()
    return plan_runs(network, order, lines=lines, practice=Practice(**practice))


def level(runs: Runs) -> list[tuple[int, int]]:
    """Height of each line in spacings from the lowest, and +1 where it is sewn to the right."""
    network, _ = strip()
    found = []
    for edge, forward in zip(runs.edges.tolist(), runs.forward.tolist(), strict=True):
        if network.required[edge]:
            a, b = network.nodes[[network.u[edge], network.v[edge]]]
            number = round(float(a[1]) / SPACING - 0.5)
            found.append((number, 1 if (b[0] > a[0]) == forward else -1))
    return found


@pytest.mark.parametrize(
    ("order", "practice", "cost"),
    [
        ("alternate", {}, (COUNT - 1) * SIDE),
        ("one way", {}, (COUNT - 1) * CUT),
        ("centre out", {}, (COUNT - 2) * SIDE + SIDE * (HALF + 1)),
        ("beside the last line", {}, SIDE + 2 * (HALF - 1) * CUT + SIDE * (HALF + 1)),
        ("from an edge", {"closed_edge": BOTTOM}, (COUNT - 1) * SIDE),
        ("from an edge", {"closed_edge": LEFT}, (COUNT - 1) * CUT),
    ],
)
def test_a_strip_of_channels_costs_what_can_be_reckoned_by_hand(
    order: str, practice: dict[str, Any], cost: float
) -> None:
    runs = planned(order, **practice)
    assert runs.habit is not None
    assert runs.cost == pytest.approx(cost)
    assert runs.habit.optimal
    assert runs.habit.least_cost == pytest.approx(cost)
    assert runs.habit.free_cost == pytest.approx((COUNT - 1) * SIDE)


def test_one_way_is_one_way() -> None:
    assert len({way for _, way in level(planned("one way"))}) == 1


def test_alternate_alternates_side_by_side() -> None:
    sewn = level(planned("alternate"))
    assert sorted(n for n, _ in sewn) == list(range(COUNT))
    assert all(abs(a[0] - b[0]) == 1 and a[1] == -b[1] for a, b in itertools.pairwise(sewn))


def test_centre_out_begins_in_the_middle_and_ends_one_half_first() -> None:
    numbers = [n for n, _ in level(planned("centre out"))]
    assert numbers[0] == HALF
    halves = [numbers[1 : HALF + 1], numbers[HALF + 1 :]]
    assert sorted(halves) == [list(range(HALF - 1, -1, -1)), list(range(HALF + 1, COUNT))]


@pytest.mark.parametrize("right", [True, False])
def test_the_guide_bar_always_finds_a_sewn_line(right: bool) -> None:  # noqa: FBT001 - a parameter
    sewn = level(planned("beside the last line", bar_right=right))
    done = [sewn[0][0]]
    for number, way in sewn[1:]:
        # sewing to the right, the maker's right hand is towards the top of the panel
        followed = number + (way if right else -way)
        assert followed in done
        done.append(number)


def test_from_an_edge_begins_beside_it() -> None:
    assert [n for n, _ in level(planned("from an edge", closed_edge=BOTTOM))] == list(range(COUNT))


def test_lines_that_run_towards_the_closed_edge_are_sewn_away_from_it() -> None:
    assert {way for _, way in level(planned("from an edge", closed_edge=LEFT))} == {1}


def test_from_a_fold_both_sides_are_sewn_outward() -> None:
    fold = ClosedEdge(name="fold", at=(200, 2.6 * SPACING), inward=(0, 1), both_sides=True)
    numbers = [n for n, _ in level(planned("from an edge", closed_edge=fold))]
    below, above = [1, 0], list(range(3, COUNT))
    assert numbers in ([2, *below, *above], [2, *above, *below])


def test_an_order_from_an_edge_needs_the_edge() -> None:
    with pytest.raises(ValueError, match="needs the edge"):
        planned("from an edge")


def test_a_habit_needs_the_lines() -> None:
    with pytest.raises(ValueError, match="needs the lines"):
        plan_runs(strip()[0], "alternate")


def test_a_throat_chooses_the_directions_that_fit() -> None:
    # 180 mm high with 25 mm of overhang on both sides: of a line at height y the panel takes
    # 205 - y at the maker's right when it is sewn to the right, else y + 25
    box = np.array([(-25.0, -25.0), (425.0, -25.0), (425.0, 205.0), (-25.0, 205.0)])
    sewn = level(planned("centre out", throat=120.0, corners=box))
    for number, way in sewn:
        height = (number + 0.5) * SPACING
        assert (205 - height if way > 0 else height + 25) <= 120


def panels(seed: int) -> tuple[Network, Lines]:
    """A few channels aslant, with keep-outs inside and over the edge, by machine or by hand."""
    rng = np.random.default_rng(seed)
    width = 100 + 10 * int(rng.integers(0, 9))
    zones = [
        {
            "name": f"k{i}",
            "shape": "circle",
            "diameter": float(rng.uniform(8, 25)),
            "at": [round(float(rng.uniform(*across)), 1), round(float(rng.uniform(20, 80)), 1)],
        }
        for i, across in enumerate([(20, 80), (0, 8), (30, 90)][: int(rng.integers(1, 4))])
    ]
    return made(
        {
            "panel": {"shape": "rectangle", "width": width, "height": 100},
            "fills": [
                {"pattern": "channel", "angle": int(rng.integers(0, 180)), "spacing": 30},
            ],
            "keep_outs": zones,
        },
        BY_HAND if seed % 2 else BY_MACHINE,
    )


class Tried:
    """Costs of sewing whole channels in a sequence and directions, by a method of its own."""

    def __init__(self, network: Network, family: Family) -> None:
        self.network, self.family = network, family
        ways: nx.Graph[int] = nx.Graph()
        for e in np.flatnonzero(~network.required).tolist():
            u, v, cost = int(network.u[e]), int(network.v[e]), float(network.cost[e])
            if not ways.has_edge(u, v) or ways[u][v]["weight"] > cost:
                ways.add_edge(u, v, weight=cost)
        self.far = dict(nx.all_pairs_dijkstra_path_length(ways))
        assert network.end_cost is not None
        here = network.end_cost.tolist()
        # a run may go on to where an end costs less
        self.end: list[float] = [
            min([cost, *(here[place] + way for place, way in self.far.get(node, {}).items())])
            for node, cost in enumerate(here)
        ]

    def link(self, a: int, b: int) -> float:
        cut = self.end[a] + self.end[b]
        travel: float = self.far.get(a, {}).get(b, cut)
        return 0.0 if a == b else min(cut, travel)

    def cost(self, order: list[int], ways: tuple[bool, ...]) -> float:
        visits = []
        for k, along in zip(order, ways, strict=True):
            pieces = []
            for edges, forward in self.family.channels[k].pieces:
                u, v = self.network.u[edges], self.network.v[edges]
                first, last = (u[0], v[-1]) if forward[0] else (v[0], u[-1])
                pieces.append((int(first), int(last)))
            if not along:
                pieces = [(b, a) for a, b in pieces[::-1]]
            visits += pieces
        ends = self.end[visits[0][0]] + self.end[visits[-1][1]]
        links = sum(self.link(a[1], b[0]) for a, b in itertools.pairwise(visits))
        return links + ends - first_run(self.network)


def allowed(order: str, count: int, middle: list[int]) -> list[tuple[list[int], Any]]:
    """What each habit leaves open, written down anew: sequences and direction choices."""
    up = list(range(count))
    free = list(itertools.product([True, False], repeat=count))
    if order == "one way":
        return [(s, [(w,) * count for w in (True, False)]) for s in (up, up[::-1])]
    if order == "alternate":
        both = [tuple((i % 2 == 0) == w for i in range(count)) for w in (True, False)]
        return [(s, both) for s in (up, up[::-1])]
    found = []
    for c in middle:
        for s in ([c, *up[c + 1 :], *up[:c][::-1]], [c, *up[:c][::-1], *up[c + 1 :]]):
            if order == "centre out":
                found.append((s, free))
            else:
                fixed = [k < c for k in s]
                found.append((s, [(w, *fixed[1:]) for w in (True, False)]))
    return found


@pytest.mark.parametrize("seed", range(16))
@pytest.mark.parametrize("order", ["one way", "alternate", "centre out", "beside the last line"])
def test_no_choice_that_a_habit_leaves_open_costs_less(order: str, seed: int) -> None:
    network, lines = panels(seed)
    ((_, family),) = channel_families(network, lines).items()
    count = len(family.channels)
    assert count <= 8
    offset = np.array([channel.offset for channel in family.channels])
    away = np.abs(offset - (offset[0] + offset[-1]) / 2)
    middle = np.flatnonzero(away < away.min() + 0.1).tolist()
    tried = Tried(network, family)
    best = min(
        tried.cost(sequence, ways)
        for sequence, choices in allowed(order, count, middle)
        for ways in choices
    )
    habitual = plan_by_habit(network, lines, order, Practice())
    assert price(network, habitual.walks).cost == pytest.approx(best, abs=0.05)
    assert habitual.least_cost == pytest.approx(best, abs=0.05)


@pytest.mark.parametrize("order", sorted(RULES))
def test_what_is_no_channel_is_sewn_when_its_design_is_due(order: str) -> None:
    network, lines = made(
        {
            "panel": {"shape": "folded pouch", "width": 120, "body": 80, "flap": 60},
            "fills": [
                {"part": "front", "pattern": "channel", "spacing": 15},
                {"part": "back", "pattern": "meander", "spacing": 18},
                {"part": "flap", "pattern": "grid", "spacing": 20},
            ],
        }
    )
    practice = Practice(closed_edge=BOTTOM)
    runs = plan_runs(network, order, lines=lines, practice=practice)
    sewn = network.required[runs.edges] & ~runs.repeat
    families = lines.family[network.line[runs.edges[sewn]]]
    assert (np.diff(families) >= 0).all()
    assert np.array_equal(np.sort(runs.edges[sewn]), np.flatnonzero(network.required))
    assert runs.habit is not None
    assert runs.habit.least_cost <= runs.cost + 1e-6


def test_a_throat_is_no_part_of_what_a_habit_must_cost() -> None:
    box = np.array([(-25.0, -25.0), (425.0, -25.0), (425.0, 205.0), (-25.0, 205.0)])
    narrow = planned("centre out", throat=120.0, corners=box)
    assert narrow.habit is not None
    assert narrow.habit.least_cost == pytest.approx((COUNT - 2) * SIDE + SIDE * (HALF + 1))
    assert narrow.cost > narrow.habit.least_cost
    assert not narrow.habit.optimal


def test_a_run_goes_on_to_where_its_end_costs_less() -> None:
    # by hand: the middle line ends at a keep-out over the edge, a few millimetres from it,
    # and a cut inside costs 150 mm of sewing more for each end
    network, lines = made(
        {
            "panel": {"shape": "rectangle", "width": WIDTH, "height": SPACING * 3},
            "fills": [{"pattern": "channel", "angle": 0, "spacing": SPACING}],
            "keep_outs": [
                {"name": "k", "shape": "circle", "diameter": 8, "at": [2, 1.5 * SPACING]}
            ],
        },
        BY_HAND,
    )
    runs = plan_runs(network, "one way", lines=lines)
    assert runs.habit is not None
    assert runs.habit.optimal
    assert runs.ends_inside == 0
    assert runs.parts["keep_out"] > 0


POUCH = {"shape": "folded pouch", "width": 160, "body": 110, "flap": 80}


@pytest.mark.parametrize("order", sorted(RULES))
def test_what_is_all_of_one_piece_is_proved_in_every_habit(order: str) -> None:
    network, lines = made(
        {"panel": POUCH, "fills": [{"pattern": "meander", "spacing": 30}]}, BY_HAND
    )
    runs = plan_runs(network, order, lines=lines, practice=Practice(closed_edge=BOTTOM))
    assert runs.optimal
    assert runs.habit is not None
    assert runs.habit.optimal
    assert runs.habit.least_cost == runs.cost


def test_a_bound_is_reached_where_rings_follow_channels() -> None:
    # no travel from the front's channels to the flap's ring costs less than a thread cut: the
    # bound knows of travel to anywhere on it, and of the ends that such travel would save
    network, lines = made(
        {
            "panel": POUCH,
            "fills": [
                {"part": "front", "pattern": "channel", "angle": 0, "spacing": 15},
                {"part": "flap", "pattern": "echo", "spacing": 30},
            ],
        }
    )
    runs = plan_runs(network, "alternate", lines=lines)
    assert len(runs.starts) - 1 == 2
    assert runs.habit is not None
    assert runs.habit.optimal


def test_a_closed_line_is_begun_where_travel_reaches_it() -> None:
    # from the front over the edge and a step to the back's ring is nearer than a thread cut,
    # if the ring is begun there
    network, lines = made(
        {
            "panel": POUCH,
            "fills": [
                {"part": "front", "pattern": "channel", "angle": 0, "spacing": 15},
                {"part": "back", "pattern": "echo", "spacing": 30},
            ],
        }
    )
    runs = plan_runs(network, "alternate", lines=lines)
    assert len(runs.starts) - 1 == 1
    assert runs.parts["step"] > 0
    assert runs.habit is not None
    assert runs.habit.optimal


@pytest.mark.parametrize("order", ["one way", "beside the last line"])
def test_by_hand_a_habit_cuts_where_two_turns_would_save_little(order: str) -> None:
    network, lines = made(
        {
            "panel": {"shape": "rectangle", "width": 200, "height": 300},
            "fills": [{"pattern": "channel", "angle": 45, "spacing": 12}],
        },
        BY_HAND,
    )
    careless = plan_runs(network, order, lines=lines)
    careful = plan_runs(network, order, lines=lines, turn_cost=BY_HAND.turn)
    assert turns(network, careful) < turns(network, careless)
    assert together(network, careful) < together(network, careless)
    # what is not the cheapest is not called so, and the least is told all the same
    assert careful.habit is not None
    assert careless.habit is not None
    assert careful.cost > careless.cost
    assert not careful.habit.optimal
    assert careful.habit.least_cost == pytest.approx(careless.cost, abs=0.05)


def turns(network: Network, runs: Runs) -> int:
    parts = itertools.pairwise(runs.starts.tolist())
    return count_turns(network, [(runs.edges[a:b], runs.forward[a:b]) for a, b in parts])


def together(network: Network, runs: Runs) -> float:
    return runs.cost + BY_HAND.turn * turns(network, runs)


def test_the_least_of_fewest_cuts_is_that_of_so_few_runs() -> None:
    # cuts cost hardly anything: with as many as one likes far less is needed than with none
    document = {
        "panel": {"shape": "rectangle", "width": WIDTH, "height": SPACING * COUNT},
        "fills": [{"pattern": "channel", "angle": 0, "spacing": SPACING}],
    }
    network, lines = made(document, Costs(cut=4.0, cut_inside=4.0))
    runs = plan_runs(network, "fewest cuts", lines=lines)
    assert len(runs.starts) == 2
    assert runs.cost == pytest.approx((COUNT - 1) * SIDE)
    assert runs.least_cost == pytest.approx((COUNT - 1) * 4.0)
    assert runs.habit is not None
    assert runs.habit.optimal
    assert runs.habit.least_cost == pytest.approx(runs.cost)


@pytest.mark.parametrize("order", ["alternate", "fewest cuts"])
def test_a_quick_look_at_an_order_claims_no_more_than_is_true(order: str) -> None:
    network, lines = made(
        {
            "panel": POUCH,
            "fills": [
                {"part": "front", "pattern": "channel", "spacing": 15},
                {"part": "back", "pattern": "echo", "spacing": 14},
            ],
        }
    )
    full = plan_runs(network, order, lines=lines)
    quick = plan_runs(network, order, lines=lines, effort=QUICK)
    assert full.habit is not None
    assert quick.habit is not None
    assert quick.habit.least_cost <= full.cost + 1e-6


MAGNET = {"name": "magnet", "kind": "sew-in magnet", "diameter": 18, "at": [200, 90]}
BESIDE: dict[str, dict[str, Any]] = {
    "waves": {"wave_height": 8, "wave_length": 60},
    "lines round a magnet": {"at_keep_outs": "bend"},
}
"""Curves that lie side by side like channels: none is a straight line."""


def curved(name: str) -> tuple[Network, Lines]:
    """As :func:`strip`, with a magnet in the middle."""
    fill = {"pattern": "channel", "angle": 0, "spacing": SPACING, **BESIDE[name]}
    panel = {"shape": "rectangle", "width": WIDTH, "height": SPACING * COUNT}
    return made({"panel": panel, "fills": [fill], "hardware": [MAGNET]})


def sewn_rows(network: Network, lines: Lines, runs: Runs) -> list[tuple[int, int]]:
    """Row of each required edge in sewing order, and +1 where it is sewn to the right."""
    assert lines.rows is not None
    found = []
    for edge, forward in zip(runs.edges.tolist(), runs.forward.tolist(), strict=True):
        if network.required[edge]:
            a, b = network.nodes[[network.u[edge], network.v[edge]]]
            row = round((lines.rows[network.line[edge], 1] - 0.5 * SPACING) / SPACING)
            found.append((row, 1 if (b[0] > a[0]) == forward else -1))
    return [own for k, own in enumerate(found) if k == 0 or own != found[k - 1]]


@pytest.mark.parametrize("name", BESIDE)
class TestCurvesSideBySide:
    def test_none_of_them_is_straight_and_all_have_a_row(self, name: str) -> None:
        _, lines = curved(name)
        assert np.isnan(lines.angle).all()
        assert (lines.heading == 0).all()

    def test_one_way_sews_them_side_by_side_in_one_direction(self, name: str) -> None:
        network, lines = curved(name)
        runs = plan_runs(network, "one way", lines=lines, practice=Practice())
        sewn = sewn_rows(network, lines, runs)
        assert np.abs(np.diff([row for row, _ in sewn])).max() == 1
        assert len({way for _, way in sewn}) == 1

    def test_alternate_turns_at_each(self, name: str) -> None:
        network, lines = curved(name)
        runs = plan_runs(network, "alternate", lines=lines, practice=Practice())
        sewn = sewn_rows(network, lines, runs)
        rows = [row for row, _ in sewn]
        assert rows == sorted(rows) or rows == sorted(rows, reverse=True)
        ways = dict(sewn)
        assert all(ways[row] == -ways[row + 1] for row in range(min(rows), max(rows)))

    def test_the_bar_follows_the_last_line(self, name: str) -> None:
        network, lines = curved(name)
        runs = plan_runs(network, "beside the last line", lines=lines, practice=Practice())
        sewn = sewn_rows(network, lines, runs)
        first = sewn[0][0]
        assert all(way == (1 if row < first else -1) for row, way in sewn if row != first)

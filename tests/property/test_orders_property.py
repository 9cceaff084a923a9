"""Orders by habit over random panels, judged from the needle points alone."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings, strategies as st

from loftline.errors import ProjectError
from loftline.fills import make_fields, make_lines
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.runs import BY_HAND, BY_MACHINE, Costs, make_network, plan_orders
from loftline.runs.ends import MERGE_MM
from loftline.values import Kind, Network, Plan, Runs
from support import projects, without_faults
from support_shapes import Ground, grounds
from support_things import keep_outs

Floats = npt.NDArray[np.float64]
Visits = list[tuple[int, int]]
"""Channels in sewing order, by their number across, each with +1 where it is sewn along its
angle and -1 where against it."""

HABITS = ("one way", "alternate", "centre out", "beside the last line")
QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
ROUNDING = 0.05
"""Costs are matched in whole thousandths of a millimetre, one rounding an edge."""

ANGLE_ERROR = MERGE_MM + 0.15
"""Millimetres off its channel that a needle point may lie: ends share nodes, and rounding."""


@st.composite
def channelled(draw: st.DrawFn, shape: str = "") -> dict[str, Any]:
    """A project of one family of channels."""
    ground: Ground = draw(grounds(shape) if shape else grounds())
    sewn: dict[str, Any] = {
        "order": draw(st.sampled_from(HABITS)),
        "edge": draw(st.sampled_from(["overhang", "seam allowance", "none"])),
        "stitch_length": draw(st.sampled_from([2.0, 3.0])),
    }
    machine: dict[str, Any] = {"guided": draw(st.sampled_from(["machine", "hand"]))}
    machine["guide_bar"] = draw(st.sampled_from(["left", "right"]))
    if machine["guided"] == "hand" and draw(st.booleans()):
        machine["foot_kind"] = "walking foot"
    return {
        "format": 1,
        "name": "Random pouch",
        "panel": uncreased(ground.table),
        "keep_outs": draw(keep_outs(ground)),
        "fills": [
            {
                "pattern": "channel",
                "angle": draw(st.one_of(st.sampled_from([0, 45, 90]), st.integers(0, 179))),
                "spacing": draw(st.integers(6, 25)),
            }
        ],
        "quilting": sewn,
        "machine": machine,
    }


def uncreased(table: dict[str, Any]) -> dict[str, Any]:
    """The panel without lines along its folds: a crease is no channel of the family."""
    folds = [{**fold, "crease": False} for fold in table.get("folds", [])]
    return {**table, "folds": folds} if folds else table


def visits(plan: Plan) -> Visits:
    """What was sewn, read off the needle points: stitches on lines, by the channel they lie on."""
    fill = plan.project.fills[0]
    turn = np.radians(fill.angles[0])
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    x0, y0, x1, y1 = plan.panel.outline.bounds
    points = np.column_stack([plan.sewn.x, plan.sewn.y]) / 10 - ((x0 + x1) / 2, (y0 + y1) / 2)
    # a walking foot ties on the line without going back; a short line is all tie then
    forward = plan.project.machine.foot_kind == "walking foot"
    on_lines = np.isin(plan.sewn.kind[1:], [Kind.LINE, Kind.TIE] if forward else [Kind.LINE])
    inner = np.flatnonzero((plan.sewn.run[1:] == plan.sewn.run[:-1]) & on_lines)
    step = points[inner + 1] - points[inner]
    place = (points[inner] + step / 2) @ across / fill.spacing
    number = np.rint(place).astype(int)
    assert np.abs(place - number).max() * fill.spacing < ANGLE_ERROR
    way = np.sign(step @ along).astype(int)
    told = zip(number.tolist(), way.tolist(), strict=True)
    return [visit for visit, _ in itertools.groupby(told)]


def check_habit(plan: Plan) -> None:
    """The habit's rule, in words of the needle points."""
    if not len(plan.sewn) or plan.network.line_starts.size < 2:
        return
    sewn = visits(plan)
    numbers = [number for number, _ in sewn]
    # each channel in one go, whatever keep-outs cut it into
    assert len(set(numbers)) == len(numbers)
    order = plan.project.quilting.order
    ways = [way for _, way in sewn]
    if order == "one way":
        assert len(set(ways)) == 1
    if order == "alternate":
        assert all(a == -b for a, b in itertools.pairwise(ways))
    if order in ("one way", "alternate"):
        assert numbers in (sorted(numbers), sorted(numbers)[::-1])
        return
    low, high = min(numbers), max(numbers)
    assert abs(numbers[0] - (low + high) / 2) <= min(abs(n - (low + high) / 2) for n in numbers)
    done = [numbers[0]]
    for (number, way), before in zip(sewn[1:], numbers, strict=False):
        # outward from all that is done, next to it; the other half only once one is finished
        assert number > max(done) or number < min(done)
        if order == "beside the last line":
            # to the left of where she sews lies her right hand
            right = plan.project.machine.guide_bar == "right"
            side = way if right else -way
            assert (number < min(done)) if side > 0 else (number > max(done))
        if (number > done[0]) != (before > done[0]) and before != done[0]:
            assert before in (low, high)
        done.append(number)


@settings(max_examples=120, deadline=None, suppress_health_check=QUIET)
@given(document=channelled())
def test_the_habit_holds_in_the_needle_points(document: dict[str, Any]) -> None:
    check_habit(make_plan(without_faults(document)))


@pytest.mark.parametrize("sewn", HABITS)
@pytest.mark.parametrize("told", HABITS)
def test_the_look_at_habits_can_fail(sewn: str, told: str) -> None:
    document = {
        "format": 1,
        "panel": {"shape": "rectangle", "width": 200, "height": 150},
        "fills": [{"pattern": "channel", "angle": 30, "spacing": 12}],
        "quilting": {"order": sewn},
    }
    plan = make_plan(parse_project(document))
    other = parse_project({**document, "quilting": {"order": told}})
    # beside the last line is a kind of centre out
    if sewn == told or (sewn, told) == ("beside the last line", "centre out"):
        check_habit(replace(plan, project=other))
        return
    with pytest.raises(AssertionError):
        check_habit(replace(plan, project=other))


@settings(max_examples=40, deadline=None, suppress_health_check=QUIET)
@given(document=channelled())
def test_a_walking_foot_sews_round_no_keep_out(document: dict[str, Any]) -> None:
    document["machine"] = {"guided": "hand", "foot_kind": "walking foot"}
    plan = make_plan(without_faults(document))
    points = np.column_stack([plan.sewn.x, plan.sewn.y]) / 10
    inner = np.flatnonzero(
        (plan.sewn.run[1:] == plan.sewn.run[:-1]) & (plan.sewn.kind[1:] == Kind.TRAVEL)
    )
    if not len(inner):
        return
    middle = shapely.points((points[inner] + points[inner + 1]) / 2)
    # travel keeps to the edge of the ground, so nowhere it lies inside beside a zone
    assert shapely.dwithin(plan.panel.ground.boundary, middle, 0.3).all()


def check_told(network: Network, runs: Runs) -> None:
    """What a plan says of itself, reckoned anew from its edges alone."""
    begin = np.where(runs.forward, network.u[runs.edges], network.v[runs.edges])
    end = np.where(runs.forward, network.v[runs.edges], network.u[runs.edges])
    first, last = runs.starts[:-1], runs.starts[1:] - 1
    inner = np.ones(len(runs.edges), bool)
    inner[first] = False
    assert (begin[inner] == end[:-1][inner[1:]]).all()
    sewn = np.bincount(runs.edges, minlength=len(network.u))
    assert (sewn[network.required] >= 1).all()
    assert runs.repeat.sum() == (sewn[network.required] - 1).sum()
    besides = float(network.cost @ sewn) - float(network.cost[network.required].sum())
    assert network.end_cost is not None
    ends = float(network.end_cost[begin[first]].sum() + network.end_cost[end[last]].sum())
    unpaid = 2 * float(network.end_cost[np.concatenate([network.u, network.v])].min())
    assert runs.cost == pytest.approx(besides + ends - unpaid, abs=1e-6)
    assert runs.cost == pytest.approx(sum(runs.parts.values()), abs=1e-6)
    assert runs.parts["cuts"] == pytest.approx((len(first) - 1) * unpaid)
    assert runs.least_cost <= runs.cost
    assert runs.optimal == (runs.least_cost == runs.cost)


@settings(max_examples=12, deadline=None, suppress_health_check=QUIET)
@given(
    project=projects(meander=False),
    turn=st.sampled_from([0.0, 20.0]),
    costs=st.sampled_from([BY_MACHINE, BY_HAND]),
)
def test_every_order_tells_what_it_costs_and_what_none_of_it_costs_less_than(
    project: Project, turn: float, costs: Costs
) -> None:
    try:
        panel = make_panel(project)
    except ProjectError:
        assume(False)
        raise
    lines = make_lines(project, panel, make_fields(project, panel))
    network = make_network(panel, lines, costs=costs)
    assume(network.required.any())
    orders = ["least cost", "fewest cuts", *HABITS]
    planned = plan_orders(network, orders, lines=lines, turn_cost=turn)
    least_cost = max(runs.least_cost for runs in planned)
    for order, runs in zip(orders, planned, strict=True):
        check_told(network, runs)
        # what is proved of all orders holds for each
        assert runs.cost >= least_cost - ROUNDING
        if order == "least cost":
            assert runs.habit is None
            continue
        assert runs.habit is not None
        assert runs.habit.order == order
        assert runs.least_cost <= runs.habit.least_cost <= runs.cost
        assert runs.habit.optimal == (runs.habit.least_cost == runs.cost)
        if order == "fewest cuts":
            assert runs.habit.least_runs is not None
            assert runs.habit.least_runs <= len(runs.starts) - 1
            assert len(runs.starts) <= min(len(other.starts) for other in planned)


@settings(max_examples=6, deadline=None, suppress_health_check=QUIET)
@given(document=channelled(), order=st.sampled_from(["least cost", "fewest cuts", *HABITS]))
def test_the_same_project_is_sewn_the_same_way(document: dict[str, Any], order: str) -> None:
    document["quilting"]["order"] = order
    one, other = (make_plan(without_faults(document)) for _ in range(2))
    assert np.array_equal(one.sewn.x, other.sewn.x)
    assert np.array_equal(one.sewn.y, other.sewn.y)
    assert np.array_equal(one.sewn.run, other.sewn.run)

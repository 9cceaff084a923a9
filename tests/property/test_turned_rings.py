"""Closed lines cost the same whichever way the panel lies and wherever they are drawn from."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings, strategies as st

from loftline.panel import make_panel
from loftline.project import Project
from loftline.runs import make_network, plan_runs
from loftline.runs.frame import Frame
from loftline.values import Lines, Panel, Way
from support_rings import as_lines, caddy, free, levels
from support_turned import drawn_anew, moved_panel

ROUNDING = 0.05
"""Costs are matched in whole thousandths of a millimetre, one rounding an edge."""

QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much]

LOOKS = {
    "in a mirror beside it": (0.0, True),
    "in a mirror below it": (180.0, True),
    "turned by a quarter": (90.0, False),
    "turned by 37 degrees": (37.0, False),
}


@st.composite
def ringed_panels(draw: st.DrawFn) -> tuple[Project, float]:
    """A panel with keep-outs anywhere on it, and a spacing of its closed lines."""
    width, height = draw(st.integers(120, 200)), draw(st.integers(120, 200))
    keep_outs = draw(
        st.lists(
            st.tuples(st.integers(0, width), st.integers(0, height), st.integers(8, 25)),
            max_size=3,
        )
    )
    edge = draw(st.sampled_from(["none", "overhang"]))
    places = [(float(x), float(y), float(r)) for x, y, r in keep_outs]
    return caddy(width, height, places, edge=edge), draw(st.sampled_from([6.0, 9.0, 13.0]))


def rings_of(project: Project, spacing: float) -> tuple[Panel, Lines]:
    panel = make_panel(project)
    area = shapely.intersection(free(panel), panel.sewable)
    return panel, as_lines(levels(area, spacing, rounding=1.0))


def check_the_same(here: tuple[Panel, Lines], there: tuple[Panel, Lines]) -> None:
    """Steps of the same number and length; the same cost where it is proved, else in the gap."""
    networks = make_network(*here), make_network(*there)
    one, other = [network.way == Way.STEP for network in networks]
    assert one.sum() == other.sum()
    lengths = [float(n.length[n.way == Way.STEP].sum()) for n in networks]
    assert lengths[1] == pytest.approx(lengths[0], abs=1e-3)
    first, second = [plan_runs(network) for network in networks]
    if first.optimal and second.optimal:
        assert second.cost == pytest.approx(first.cost, abs=ROUNDING)
    assert first.cost >= second.least_cost - ROUNDING
    assert second.cost >= first.least_cost - ROUNDING


@settings(max_examples=8, deadline=None, suppress_health_check=QUIET)
@given(drawn=ringed_panels(), look=st.sampled_from(sorted(LOOKS)))
def test_turned_or_in_a_mirror_closed_lines_cost_the_same(
    drawn: tuple[Project, float], look: str
) -> None:
    panel, lines = rings_of(*drawn)
    assume(len(lines) > 1)
    degrees, mirrored = LOOKS[look]
    check_the_same((panel, lines), moved_panel(panel, lines, degrees, mirrored=mirrored))


@settings(max_examples=6, deadline=None, suppress_health_check=QUIET)
@given(drawn=ringed_panels(), seed=st.integers(0, 99))
def test_where_closed_lines_are_drawn_from_changes_no_cost(
    drawn: tuple[Project, float], seed: int
) -> None:
    panel, lines = rings_of(*drawn)
    assume(len(lines) > 1)
    check_the_same((panel, lines), (panel, drawn_anew(lines, seed)))


@pytest.mark.nightly
@settings(max_examples=60, deadline=None, suppress_health_check=QUIET)
@given(drawn=ringed_panels(), degrees=st.floats(0, 360), mirrored=st.booleans())
def test_at_any_angle_closed_lines_cost_the_same(
    drawn: tuple[Project, float], degrees: float, *, mirrored: bool
) -> None:
    panel, lines = rings_of(*drawn)
    assume(len(lines) > 1)
    moved = moved_panel(panel, lines, degrees, mirrored=mirrored)
    check_the_same((panel, lines), (moved[0], drawn_anew(moved[1], 1)))


def test_a_panel_drawn_as_its_own_mirror_image_costs_the_same() -> None:
    # made anew from its measures, not moved: its curves have their corners elsewhere
    keep_outs = [(60.0, 80.0, 15.0), (120.0, 150.0, 20.0)]
    costs = []
    for across, up in ((False, False), (True, False), (False, True)):
        places = [(200 - x if across else x, 240 - y if up else y, r) for x, y, r in keep_outs]
        runs = plan_runs(make_network(*rings_of(caddy(200, 240, places), 8.0)))
        costs.append(runs.cost)
    assert costs == pytest.approx([costs[0]] * 3, abs=ROUNDING)


def test_without_a_frame_of_their_own_turned_lines_get_other_steps(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # or the tests above could not fail
    fixed = Frame(centre=np.zeros(2), axes=np.eye(2))
    monkeypatch.setattr(Frame, "of", lambda *_args: fixed)
    panel, lines = rings_of(caddy(200, 240, [(60.0, 80.0, 15.0), (120.0, 150.0, 20.0)]), 8.0)
    with pytest.raises(AssertionError):
        check_the_same((panel, lines), moved_panel(panel, lines, 37.0, mirrored=True))

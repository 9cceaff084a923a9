"""The promises on closed lines inside each other, over random panels, keep-outs and spacings."""

from __future__ import annotations

from typing import Any

import shapely
from hypothesis import HealthCheck, assume, given, settings, strategies as st

from loftline.panel import make_panel
from support_rings import as_lines, caddy, check_promises, free, levels, sew

QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much]


@st.composite
def panels(draw: st.DrawFn) -> tuple[Any, float]:
    """A project and a spacing for its closed lines."""
    width, height = draw(st.integers(120, 220)), draw(st.integers(120, 220))
    keep_outs = draw(
        st.lists(
            st.tuples(
                st.integers(10, width - 10),
                st.integers(10, height - 10),
                st.integers(8, 25),
            ),
            max_size=3,
        )
    )
    edge = draw(st.sampled_from(["none", "overhang", "seam allowance"]))
    places = [(float(x), float(y), float(r)) for x, y, r in keep_outs]
    return caddy(width, height, places, edge=edge), draw(st.sampled_from([5.0, 8.0, 13.0]))


@settings(max_examples=40, deadline=None, suppress_health_check=QUIET)
@given(drawn=panels())
def test_promises_on_closed_lines(drawn: tuple[Any, float]) -> None:
    project, spacing = drawn
    panel = make_panel(project)
    # what lies in the panel and may be sewn
    area = shapely.intersection(free(panel), panel.sewable)
    curves = levels(area, spacing, rounding=1.0)
    assume(len(curves) > 1)
    check_promises(sew(project, as_lines(curves)))

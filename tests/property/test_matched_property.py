"""Designs matched on the closed bag, over random pouches."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from hypothesis import given, settings, strategies as st
from scipy.spatial import cKDTree

from loftline.fills import make_fields, make_lines
from loftline.panel import make_panel
from loftline.project import Project, parse_project


@st.composite
def matched_pouches(draw: st.DrawFn) -> Project:
    """A pouch with up to three keep-outs and one straight design, matched."""
    width, body = draw(st.integers(90, 260)), draw(st.integers(70, 160))
    flap = draw(st.integers(body // 3, body))
    panel = {
        "shape": "folded pouch",
        "width": width,
        "body": body,
        "flap": flap,
        "flap_inset": draw(st.sampled_from([0, 3])),
        "corner_radius": draw(st.integers(0, min(30, flap, width // 3))),
        "seam_allowance": draw(st.sampled_from([0, 6, 8])),
    }
    spots = st.tuples(st.integers(0, width), st.integers(0, 2 * body))
    keep_outs = [
        {"shape": "circle", "at": list(at), "diameter": draw(st.integers(6, 30))}
        for at in draw(st.lists(spots, max_size=3, unique=True))
    ]
    fill: dict[str, Any] = {"spacing": draw(st.integers(8, 25)), "match": "closed"}
    if draw(st.booleans()):
        fill |= {"pattern": "channel", "angle": draw(st.integers(0, 179))}
    else:
        fill |= {"pattern": "grid", "angle": draw(st.integers(0, 89))}
    tables = {"panel": panel, "keep_outs": keep_outs, "fills": [fill]}
    return parse_project({"format": 1, "name": "Spoke pouch", **tables})


@settings(max_examples=40, deadline=None)
@given(project=matched_pouches())
def test_lines_of_flap_and_front_meet(project: Project) -> None:
    panel = make_panel(project)
    lines = make_lines(project, panel, make_fields(project, panel))
    assert lines.miss is None or lines.miss < 1e-6


@settings(max_examples=40, deadline=None)
@given(project=matched_pouches())
def test_no_line_ends_inside_the_panel(project: Project) -> None:
    """Each end lies at the edge or a keep-out, or meets another on a fold."""
    panel = make_panel(project)
    lines = make_lines(project, panel, make_fields(project, panel))
    if not len(lines):
        return
    ends = np.concatenate([lines.line(i)[[0, -1]] for i in range(len(lines))])
    inside = shapely.distance(shapely.points(ends), panel.sewable.boundary) > 1e-5
    near = cKDTree(ends).query_ball_point(ends[inside], 1e-4)
    for place, found in zip(ends[inside], near, strict=True):
        assert min(abs(place[1] - fold.start[1]) for fold in panel.folds) < 1e-5
        assert len(found) > 1

"""Any needle points and any words make a picture that can be read back."""

from __future__ import annotations

import json
from dataclasses import replace

import jsonschema
import numpy as np
import shapely
from hypothesis import given, settings, strategies as st

from loftline.values import Kind, Sewn
from loftline.writers import draw_plan, write_files
from loftline.writers.json_schema import document_schema
from loftline.writers.svg.strands import make_strands
from support_pictures import read_picture
from support_plans import tiny_plan

SCHEMA = jsonschema.Draft202012Validator(document_schema())


@st.composite
def needle_points(draw: st.DrawFn) -> Sewn:
    """Short random walks, back over themselves as often as not."""
    steps = st.tuples(st.integers(-30, 30), st.integers(-30, 30), st.integers(0, 5), st.booleans())
    rows = np.array(draw(st.lists(steps, min_size=1, max_size=80)))
    run = np.cumsum(rows[:, 3])
    run -= run[0]
    kind = rows[:, 2].copy()
    first = np.flatnonzero(np.diff(run, prepend=-1))
    lone = np.append(first[1:], len(run)) - first < 2
    kind[first[~lone]] = kind[first[~lone] + 1]
    nothing = np.empty(0, np.int64)
    return Sewn(
        x=np.cumsum(rows[:, 0]),
        y=np.cumsum(rows[:, 1]),
        run=run,
        kind=kind,
        via=nothing.reshape(0, 2),
        via_run=nothing,
    )


@given(needle_points())
def test_strands_cover_what_is_sewn_and_nothing_else(sewn: Sewn) -> None:
    strands = make_strands(sewn)
    xy = np.column_stack([sewn.x, sewn.y]) / 10
    same = np.diff(sewn.run) == 0
    for kind in Kind:
        ends = 1 + np.flatnonzero(same & (sewn.kind[1:] == kind))
        stitches = shapely.MultiLineString(list(np.stack([xy[ends - 1], xy[ends]], axis=1)))
        drawn = [
            strands.points[strands.starts[i] : strands.starts[i + 1]]
            for i in np.flatnonzero(strands.kind == kind)
        ]
        assert bool(len(ends)) == bool(drawn)
        if drawn:
            apart = shapely.hausdorff_distance(stitches, shapely.MultiLineString(drawn), 0.2)
            assert apart <= 0.1 + 1e-9


@settings(max_examples=40)
@given(needle_points(), st.text(max_size=40), st.text(max_size=40))
def test_any_points_and_names_make_whole_files(sewn: Sewn, name: str, zone: str) -> None:
    plan = tiny_plan()
    keep_out = replace(plan.panel.keep_outs[0], name=zone)
    plan = replace(
        plan,
        project=plan.project.model_copy(update={"name": name}),
        panel=replace(plan.panel, keep_outs=(keep_out,)),
        sewn=sewn,
    )
    read_picture(draw_plan(plan))
    files = write_files(plan, ("json",))
    (data,) = files.values()
    SCHEMA.validate(json.loads(data))

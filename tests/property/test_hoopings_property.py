"""What several hoopings promise, over random panels."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings, strategies as st

from loftline.compare import compare
from loftline.plan import make_plan
from loftline.project import Project
from loftline.readers import READERS, read_stitch_file
from loftline.units import LEAST_STITCH_MM
from loftline.values import Kind, Plan
from loftline.writers import stitch_file_name, write_files
from support import projects
from support_hoopings import (
    astray,
    bare,
    beyond_field,
    drawn_length,
    in_hoop,
    sewn_length,
    steps,
)

QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
ROUNDING_MM = 0.1
"""Needle points lie on whole tenths, and so does the file's zero."""


@st.composite
def hooped_projects(draw: st.DrawFn) -> Project:
    """A random panel and a hoop that is smaller than most."""
    side = st.sampled_from([60, 75, 100])
    return in_hoop(
        draw(projects()),
        hoop=(draw(side), draw(st.sampled_from([75, 100, 130]))),
        hoop_turning=draw(st.sampled_from(["none", "all alike", "each"])),
        hooping_order=draw(st.sampled_from(["along the panel", "centre out"])),
        basting=draw(st.sampled_from([None, False])),
    )


def check_all_sewn(plan: Plan) -> None:
    """What the hoopings sew together is the lines, and nothing else counts as a line.

    Only what is told may be left: a rest shorter than any stitch between two full fields.
    """
    told = any(finding.code == "rest-left" for finding in plan.findings)
    left = bare(plan, LEAST_STITCH_MM) if told else bare(plan)
    assert len(left) == 0, left[:3]
    assert len(astray(plan)) == 0, astray(plan)[:3]


def check_sewn_once(plan: Plan) -> None:
    """Lines are sewn once: the stitch at a border is all that may be sewn twice unmarked."""
    longest = plan.project.quilting.stitch_length + ROUNDING_MM
    pieces = np.count_nonzero(plan.network.required)
    spare = sewn_length(plan, Kind.LINE) - drawn_length(plan)
    assert spare <= longest * pieces


def check_fields(plan: Plan) -> None:
    for hooping in plan.hoopings:
        assert beyond_field(plan, hooping) <= ROUNDING_MM


def check_keep_outs(plan: Plan) -> None:
    """No stitch of any kind enters a zone, those sewn first included."""
    ends, _ = steps(plan)
    if not len(ends):
        return
    lines = shapely.linestrings(ends)
    for zone in plan.panel.keep_outs:
        if zone.reach > 0:
            shapely.prepare(zone.outline)
            assert not shapely.dwithin(zone.outline, lines, zone.reach - 1e-9).any(), zone.name


def check_lengths(plan: Plan) -> None:
    """No step is longer than the machine sews, and none but ties is too short to sew."""
    ends, kind = steps(plan)
    length = np.hypot(*np.diff(ends, axis=1)[:, 0].T)
    assert (length <= plan.project.machine.longest_stitch).all()
    loose = np.isin(kind, (Kind.REGISTRATION, Kind.BASTING))
    assert (length[loose] > LEAST_STITCH_MM).all()


def check_in_order(plan: Plan) -> None:
    """Each hooping's needle points follow those of the one before, runs counting on."""
    assert plan.hoopings[0].first == 0
    assert plan.hoopings[-1].last == len(plan.sewn) - 1
    for before, after in zip(plan.hoopings, plan.hoopings[1:], strict=False):
        assert before.last is not None
        assert after.first == before.last + 1
        assert plan.sewn.run[after.first] == plan.sewn.run[before.last] + 1


def check_files(plan: Plan) -> None:
    """Every file read back is its part of the plan."""
    files = write_files(plan, ("dst", "exp"))
    for ext in ("dst", "exp"):
        assert ext in READERS
        for number, hooping in enumerate(plan.hoopings):
            name = stitch_file_name(plan, number, ext)
            read = read_stitch_file(ext, files[name])
            assert compare(plan.sewn.in_hoop(hooping), read, file=name) == ()


def check(project: Project) -> None:
    """All promises on one plan."""
    plan = make_plan(project)
    check_in_order(plan)
    if not len(plan.sewn):
        return
    check_all_sewn(plan)
    check_sewn_once(plan)
    check_fields(plan)
    check_keep_outs(plan)
    check_lengths(plan)
    check_files(plan)


@given(hooped_projects())
@settings(max_examples=10, deadline=None, suppress_health_check=QUIET)
def test_hoopings_keep_their_promises(project: Project) -> None:
    check(project)


@pytest.mark.nightly
@given(hooped_projects())
@settings(max_examples=300, deadline=None, suppress_health_check=QUIET)
def test_hoopings_keep_their_promises_on_many_panels(project: Project) -> None:
    check(project)

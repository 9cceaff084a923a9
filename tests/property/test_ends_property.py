"""Over random panels: what the designs tell of their line ends is what a look-up finds."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings

from loftline.project import Project
from support import projects
from support_ends import compared, drawn, faults


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(project=projects())
def test_ends_lie_on_rings_where_a_look_up_finds_them(project: Project) -> None:
    assert faults(compared(*drawn(project))) == []

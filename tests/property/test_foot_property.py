"""The foot never strikes, over random panels with pieces that stand above the fabric."""

from __future__ import annotations

import math

import shapely
from hypothesis import HealthCheck, given, settings, strategies as st
from shapely.affinity import rotate, translate

from loftline.plan import make_plan
from loftline.project import FootSpec, Project, parse_project
from loftline.values import Plan
from support import stitches

LEAST = 2.0  # shorter stitches, rounded to tenths, do not show their direction


@st.composite
def panels(draw: st.DrawFn) -> Project:
    """Straight lines, one or two pieces above, a lopsided foot."""
    pieces: list[dict[str, object]] = []
    for i in range(draw(st.integers(1, 2))):
        size = draw(st.integers(5, 35))
        piece: dict[str, object] = {
            "name": f"post {i}",
            "kind": "post",
            "sits": "above",
            "fitted": "before quilting",
            "at": [draw(st.integers(10, 230)), draw(st.integers(10, 190))],
        }
        tall = draw(st.integers(5, 35))
        round_one = draw(st.booleans())
        piece |= {"diameter": size} if round_one else {"width": size, "height": tall}
        pieces.append(piece)
    pattern = draw(st.sampled_from(["channel", "grid"]))
    foot = {side: draw(st.integers(2, 25)) for side in ("left", "right", "front", "back")}
    return parse_project(
        {
            "panel": {"shape": "rectangle", "width": 240, "height": 200},
            "hardware": pieces,
            "fills": [
                {
                    "pattern": pattern,
                    "angle": draw(st.sampled_from([0, 20, 45, 60, 90, 131])),
                    "spacing": draw(st.sampled_from([8, 12, 19])),
                }
            ],
            "quilting": {
                "stitch_length": draw(st.sampled_from([2, 2.5, 3, 4])),
                "placing_tolerance": draw(st.sampled_from([0, 1.5])),
                "draw_in": draw(st.sampled_from([0, 3])),
                "edge": draw(st.sampled_from(["overhang", "seam allowance", "none"])),
            },
            "machine": {"guided": draw(st.sampled_from(["hand", "machine"])), "foot": foot},
        }
    )


def check_no_strike(plan: Plan) -> None:
    """The foot's rectangle turned along every long stitch, at both ends; independent of checks/."""
    foot = plan.project.machine.foot
    assert isinstance(foot, FootSpec)
    box = shapely.box(-foot.back, -foot.right, foot.front, foot.left)
    hard = shapely.union_all([zone.outline for zone in plan.panel.keep_outs])
    reach = foot.left + foot.right + foot.front + foot.back
    for (start, end), _ in zip(*stitches(plan), strict=True):
        line = shapely.LineString([start, end])
        if line.length < LEAST or line.distance(hard) > reach:
            continue
        turn = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
        for place in (start, end):
            swept = translate(rotate(box, turn, origin=(0, 0)), *place)
            assert swept.intersection(hard).area < 1e-6, (start, end)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(panels())
def test_no_foot_strikes(project: Project) -> None:
    plan = make_plan(project)
    if project.machine.guided == "hand":
        check_no_strike(plan)
    assert not [f for f in plan.findings if f.code in {"foot-strikes", "keep-out-entered"}]

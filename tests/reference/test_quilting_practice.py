"""Spacing, clearance, layers and cloth against values from outside the project."""

from __future__ import annotations

import numpy as np
import pytest

from loftline.checks import check_sewn
from loftline.errors import ProjectError
from loftline.estimates import advise
from loftline.estimates.advice import advice, chosen_needle
from loftline.plan import make_plan
from loftline.values import Bobbins
from support_sewn import lines, panel, project, row, sewn, snap

NONE = Bobbins(metres=79, told=False, changes=(), left=0)


@pytest.mark.parametrize(
    ("kind", "greatest"),
    [
        ("needle-punched batting with scrim", 250),
        ("cotton batting", 200),
        ("bamboo batting", 200),
        ("80/20 batting", 100),
        ("wool batting", 75),
        ("polyester batting", 75),
        ("plain cotton batting", 50),
        ("batting", 50),
    ],
)
def test_greatest_distance_between_lines(kind: str, greatest: float) -> None:
    # Makers' instructions collected by quilting handbooks: 250 mm with scrim, 200 cotton or
    # bamboo, 100 cotton-wool 80/20, 75 wool or fat polyester, 40 to 50 plain cotton, 25 to 50
    # where it is unknown
    assert "spacing-too-wide" not in _codes(kind, greatest)
    assert "spacing-too-wide" in _codes(kind, greatest + 0.1)


@pytest.mark.parametrize(("kind", "close"), [("plain cotton batting", 40), ("batting", 25)])
def test_distance_that_some_makers_ask_for(kind: str, close: float) -> None:
    # The same: the lower ends of the two ranges
    assert not {"spacing-wide", "spacing-too-wide"} & _codes(kind, close)
    assert "spacing-wide" in _codes(kind, close + 0.1)


def test_no_limit_is_published_for_foam() -> None:
    # Looked for and not found, so nothing is claimed
    assert not {"spacing-wide", "spacing-too-wide"} & _codes("foam", 300)


def _codes(kind: str, spacing: float) -> set[str]:
    given = project(
        layers={"foam": {"kind": kind}}, fills=[{"pattern": "channel", "spacing": spacing}]
    )
    return {finding.code for finding in advise(given, panel(), lines())}


@pytest.mark.parametrize(
    ("diameter", "clearance", "fails", "passes"),
    [
        (18, 6.35, 15.34, 15.36),
        (14, 6.35, 13.34, 13.36),
        (18, 3.175, 12.16, 12.19),
        (14, 3.175, 10.16, 10.19),
    ],
)
def test_stitch_beside_a_snap(
    diameter: float, clearance: float, fails: float, passes: float
) -> None:
    # Bag patterns: 6.35 mm (1/4 in) from hardware's edge, 3.2 mm (1/8 in) the least:
    # 18 mm snap 15.35 mm from centre to stitch, 14 mm snap 13.35 mm; never under 12.2 and 10.2
    for distance, found in ((fails, ["keep-out-entered"]), (passes, [])):
        beside = sewn(row(120, y=100))
        on = panel(snap((60, 100 - distance), diameter, clearance))
        assert [f.code for f in check_sewn(on, beside, longest_stitch=7)] == found


def test_clearance_under_an_eighth_of_an_inch_is_refused() -> None:
    # The same: 3.2 mm (1/8 in) is the least for hardware
    piece = {"name": "snap", "kind": "magnetic snap", "at": [100, 100], "clearance": "1/8 in"}
    assert project(hardware=[piece]).hardware[0].clearance == 3.175
    with pytest.raises(ProjectError, match="clearance"):
        project(hardware=[piece | {"clearance": 3.1}])


@pytest.mark.parametrize(("foam", "thick"), [(3.2, False), (6.0, False), (7.5, True)])
def test_stack_under_the_presser_foot(foam: float, *, thick: bool) -> None:
    # Foam for bags is sold 3.2 to 6 mm thick; a presser foot lifts about 8 mm
    given = project(layers={"outer": {"thickness": 0.7}, "foam": {"thickness": foam}})
    codes = {finding.code for finding in advise(given, panel(), lines())}
    assert ("stack-thick" in codes) == thick


def test_cloth_that_keeps_its_holes() -> None:
    # Makers of waxed canvas: clips not pins, no iron, no fusible, nothing sewn that is picked out
    # later; a canvas supplier's needle rule: 100 to 110
    waxed = project(layers={"outer": {"kind": "waxed canvas"}})
    needle = chosen_needle(waxed)
    assert (needle.least, needle.greatest) == (100, 110)
    said = " ".join(advice(waxed, NONE, 1))
    for words in ("clips, not pins", "no iron", "nothing fusible", "no basting", "registration"):
        assert words in said
    assert "clips" not in " ".join(advice(project(), NONE, 1))
    fusible = project(layers={"outer": {"kind": "waxed canvas"}, "foam": {"kind": "fusible foam"}})
    assert "foam-needs-iron" in {f.code for f in advise(fusible, panel(), lines())}


def test_one_way_pulls_aslant() -> None:
    # A test of straight-line quilting, 2015: all lines one way, a square of 20 in ended 1/8 in
    # out of square; alternating kept it square
    one_way = project(quilting={"order": "one way"})
    (note,) = [f for f in advise(one_way, panel(), lines()) if f.code == "one-way-pulls"]
    for words in ("20 in", "1/8 in out of square", "alternating kept it square"):
        assert words in note.message
    alternate = project(quilting={"order": "alternate"})
    assert "one-way-pulls" not in {f.code for f in advise(alternate, panel(), lines())}


def test_a_run_is_locked_by_small_stitches_at_both_ends() -> None:
    # Machine quilters: 6 to 8 tiny stitches in the first and last 1/4 in, or 5 to 6 of 0.5 mm
    found = make_plan(project(fills=[{"pattern": "channel", "spacing": 500}])).sewn
    assert set(found.run.tolist()) == {0}
    step = np.hypot(np.diff(found.x), np.diff(found.y)) / 10
    for steps in (step, step[::-1]):
        small = steps[: int(np.argmax(steps > 1))]
        assert 5 <= len(small) <= 6
        assert small.mean() == pytest.approx(0.5, abs=0.1)
        assert small.sum() <= 6.35

"""The stitch length of each design, how it is written, and what hands make of it."""

from __future__ import annotations

from typing import Any

import jsonschema
import numpy as np
import pytest

from loftline.checks import check_holes
from loftline.errors import ProjectError
from loftline.plan import make_plan
from loftline.project import json_schema, parse_project
from loftline.values import Floats, Kind, Plan, Sewn
from support import stitches
from support_sewn import row, sewn

POUCH = {"shape": "folded pouch", "width": 120, "body": 80, "flap": 60}
FRONT, FLAP = ({"pattern": "channel", "angle": 90, "part": part} for part in ("front", "flap"))


def document(*fills: dict[str, Any], **more: Any) -> dict[str, Any]:  # noqa: ANN401 - tables
    return {"format": 1, "name": "Spoke pouch", "panel": POUCH, "fills": [*fills]} | more


def plan_of(*fills: dict[str, Any], **more: Any) -> Plan:  # noqa: ANN401 - tables
    return make_plan(parse_project(document(*fills, **more)), effort="quick")


def told(*fills: dict[str, Any], **more: Any) -> dict[str, str]:  # noqa: ANN401 - tables
    with pytest.raises(ProjectError) as caught:
        parse_project(document(*fills, **more))
    return {fault.where: fault.message for fault in caught.value.faults}


def lengths_of_lines(plan: Plan, low: float, high: float) -> Floats:
    """Lengths of the stitches of lines whose middle lies so high on the panel."""
    ends, kind = stitches(plan)
    middle = ends.mean(axis=1)[:, 1]
    mine = (kind == Kind.LINE) & (middle > low) & (middle < high)
    found: Floats = np.hypot(*(ends[mine, 1] - ends[mine, 0]).T)
    return found


def test_each_design_has_its_own_stitch_length() -> None:
    plan = plan_of(FRONT | {"stitch_length": 2}, FLAP | {"stitch_length": 4})
    front, flap = lengths_of_lines(plan, 5, 75), lengths_of_lines(plan, 170, 215)
    assert 1.8 < front.min() <= front.max() <= 2.15
    assert 3.5 < flap.min() <= flap.max() <= 4.15


def test_a_design_without_one_takes_that_of_the_quilting() -> None:
    plan = plan_of(FRONT, FLAP | {"stitch_length": 4}, quilting={"stitch_length": 2.4})
    assert 2.1 < np.median(lengths_of_lines(plan, 5, 75)) <= 2.4


def test_travel_takes_that_of_the_quilting() -> None:
    plan = plan_of(FRONT | {"stitch_length": 2}, quilting={"stitch_length": 4})
    ends, kind = stitches(plan)
    travel = np.hypot(*(ends[kind == Kind.TRAVEL, 1] - ends[kind == Kind.TRAVEL, 0]).T)
    assert 3.0 < travel.max() <= 4.15


def test_stitches_per_inch_of_a_design() -> None:
    # 25.4 / 10 = 2.54 mm
    (fill,) = parse_project(document(FRONT | {"stitches_per_inch": 10})).fills
    assert fill.stitch_length == pytest.approx(2.54)


def test_a_stitch_length_with_its_unit() -> None:
    (fill,) = parse_project(document(FRONT | {"stitch_length": "1/8 in"})).fills
    assert fill.stitch_length == pytest.approx(3.175)


def test_no_stitch_is_longer_than_the_machine_sews() -> None:
    plan = plan_of(FRONT | {"stitch_length": 4}, machine={"longest_stitch": 4})
    ends, _ = stitches(plan)
    assert np.hypot(*(ends[:, 1] - ends[:, 0]).T).max() <= 4 + 1e-9


REFUSED: list[tuple[dict[str, Any], str, str]] = [
    ({"stitch_length": 0.5}, "stitch_length", "0.8 mm"),
    ({"stitch_length": 3, "stitches_per_inch": 8}, "stitches_per_inch", "not both"),
    ({"stitches_per_inch": 80}, "stitches_per_inch", "from 2.12 to 31.75"),
    ({"stitches_per_inch": "ten"}, "stitches_per_inch", "a number such as 8"),
]


@pytest.mark.parametrize(("keys", "where", "words"), REFUSED, ids=str)
def test_what_is_refused_and_how(keys: dict[str, Any], where: str, words: str) -> None:
    assert words in told(FRONT | keys)[f"fills[0].{where}"]


# the schema knows no units, so a bare length under 0.8 may be inches
@pytest.mark.parametrize("keys", [keys for keys, _, _ in REFUSED[1:]], ids=str)
def test_the_schema_refuses_it_too(keys: dict[str, Any]) -> None:
    assert list(jsonschema.Draft202012Validator(json_schema()).iter_errors(document(FRONT | keys)))


def test_longer_than_the_machines_longest_is_refused_at_its_own_key() -> None:
    found = told(FRONT | {"stitch_length": 5}, machine={"longest_stitch": 4})
    assert "the machine's longest stitch 4 mm" in found["fills[0].stitch_length"]


def test_a_fine_stitch_counts_in_the_work_that_is_asked_for() -> None:
    fine = {"pattern": "channel", "spacing": 1, "stitch_length": 0.8}
    panel = {"shape": "rectangle", "width": 2000, "height": 2000}
    assert "stitches" in told(fine, panel=panel)["fills[0].spacing"]
    parse_project(document(fine | {"stitch_length": 6}, panel=panel))


def codes(plan: Plan) -> dict[str, str]:
    return {finding.code: finding.message for finding in plan.findings}


FREE = {"guided": "hand", "foot_kind": "free-motion foot"}


def test_free_motion_gets_an_expected_length_and_says_so() -> None:
    found = codes(plan_of({"pattern": "meander", "spacing": 15}, machine=FREE))
    assert "3 mm is expected" in found["stitch-length-by-hand"]


def test_free_motion_names_each_length_once() -> None:
    fills = FRONT | {"stitch_length": 2}, FLAP
    found = codes(plan_of(*fills, machine=FREE))
    assert "3 mm and 2 mm is expected" in found["stitch-length-by-hand"]


@pytest.mark.parametrize("machine", [{}, {"guided": "hand", "foot_kind": "walking foot"}], ids=str)
def test_where_the_machine_feeds_nothing_is_expected(machine: dict[str, str]) -> None:
    assert "stitch-length-by-hand" not in codes(plan_of(FRONT, machine=machine))


def test_an_unusual_length_is_told_of_the_design() -> None:
    plan = plan_of(FRONT, FLAP | {"stitch_length": 7}, machine={"longest_stitch": 8})
    where = [f.where for f in plan.findings if f.code == "stitch-length-unusual"]
    assert where == ["fills[1].stitch_length"]


# holes side by side


def across(dx: float, kind: Kind = Kind.LINE) -> Sewn:
    """Two runs that cross, with a hole each so near to one another."""
    return sewn(row(9), [(9.0 + dx, -3.0), (9.0 + dx, 0.0), (9.0 + dx, 3.0)], kind=kind)


def test_two_holes_within_half_a_millimetre_are_told_with_their_place() -> None:
    (found,) = check_holes(across(0.4))
    assert (found.code, found.severity) == ("holes-close", "note")
    assert found.where == "near (9, 0)"
    assert "at 1 place" in found.message


@pytest.mark.parametrize(
    "plan", [across(0.5), across(0.4, Kind.TIE), across(0.4, Kind.BASTING), sewn(), sewn([(0, 0)])]
)
def test_nothing_is_told_of_holes_apart_ties_and_what_is_picked_out(plan: Sewn) -> None:
    assert not check_holes(plan)


def test_the_two_ends_of_a_short_stitch_are_no_pair() -> None:
    assert not check_holes(sewn([(0, 0), (0.4, 0), (3, 0)]))


CROWDED = {"pattern": "motif", "motif": "wheel", "size": 24}


@pytest.mark.parametrize(("kind", "told_of"), [("waxed canvas", True), ("cotton canvas", False)])
def test_only_cloth_that_keeps_its_holes_is_told_of(kind: str, *, told_of: bool) -> None:
    plan = plan_of(CROWDED, layers={"outer": {"kind": kind}})
    assert ("holes-close" in codes(plan)) is told_of


def test_hands_do_not_place_holes_to_half_a_millimetre() -> None:
    plan = plan_of(CROWDED, layers={"outer": {"kind": "waxed canvas"}}, machine=FREE)
    assert "holes-close" not in codes(plan)

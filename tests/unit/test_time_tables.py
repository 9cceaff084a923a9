"""Minutes for one bag, for a batch and for a class."""

from __future__ import annotations

import math

import numpy as np
import pytest

from loftline.estimates.time import Stops, class_minutes, speed_shares, time_tables
from loftline.estimates.whole_bag import bag_seams
from loftline.project import Project
from loftline.values import Sewn
from support_sewn import panel, project, row, sewn

LONG = sewn(row(3 * 4000))


NONE = Stops(cuts=0, turns=0)


def parts(given: Project, stops: Stops = NONE) -> dict[str, float]:
    return dict(time_tables(given, LONG, stops, ())[0].parts)


def test_by_hand_half_the_speed_and_time_for_cuts_and_turns() -> None:
    by_hand = project(machine={"guided": "hand", "stitches_per_minute": 800})
    found = parts(by_hand, Stops(cuts=3, turns=30))
    assert found["quilting"] == pytest.approx(4000 / 400)
    assert found["cuts"] == pytest.approx(3 * 10 / 60)
    assert found["turns"] == pytest.approx(30 * 4 / 60)
    assert "placings" not in found


def test_by_the_hoop_full_speed_and_time_for_placings() -> None:
    by_machine = project(machine={"stitches_per_minute": 800, "at_cuts": "stop"})
    found = parts(by_machine, Stops(cuts=3, turns=30, placings=2))
    assert found["quilting"] == pytest.approx(5)
    assert found["cuts"] == pytest.approx(1)
    assert found["placings"] == pytest.approx(12)
    assert "turns" not in found


def test_placings_are_told_first() -> None:
    assert next(iter(parts(project()))) == "placings"


def test_the_other_way_of_guiding_stands_beside() -> None:
    one, other = time_tables(project(), LONG, NONE, ())
    assert (one.guided, other.guided) == ("machine", "hand")
    by_hand = project(machine={"guided": "hand"})
    assert parts(by_hand) == dict(other.parts)


def test_by_hand_a_run_end_inside_takes_time_of_its_own() -> None:
    by_hand = project(machine={"guided": "hand"})
    assert parts(by_hand, Stops(cuts=0, turns=0, ends_inside=2))["ends"] == pytest.approx(0.5)


def test_bobbins_of_a_batch_are_shared_among_its_bags() -> None:
    assert parts(project(), Stops(cuts=0, turns=0, bobbins=0.25))["bobbins"] == pytest.approx(0.25)


def test_no_time_at_the_iron_for_cloth_that_bears_none() -> None:
    assert "pressing" in parts(project())
    assert "pressing" not in parts(project(layers={"outer": {"kind": "waxed canvas"}}))


def test_seams_are_clipped_sewn_at_the_speed_of_a_hand_and_snipped() -> None:
    given = project(
        machine={"stitches_per_minute": 500},
        seams=[{"name": "tab", "length": 250, "passes": 2}],
    )
    seams = bag_seams(given, panel())
    (table, _) = time_tables(given, LONG, NONE, seams)
    sewing = sum(seam.stitches for seam in seams) / 250
    # zigzag, lining, topstitch and tab are a piece each; the tab is sewn twice
    assert table.parts["seams"] == pytest.approx(sewing + 4 * 1 + 5 * 10 / 60)


def circle_of(radius: float) -> Sewn:
    turn = np.linspace(0, 2 * math.pi, int(2 * math.pi * radius / 2.5))
    return sewn([(float(x), float(y)) for x, y in radius * np.c_[np.cos(turn), np.sin(turn)]])


def test_by_hand_tight_curves_are_slower() -> None:
    straight, wide, tight = (
        speed_shares(plan, by_hand=True).mean()
        for plan in (sewn(row(300)), circle_of(40), circle_of(12.5))
    )
    assert straight == 1
    assert wide > 0.95
    assert tight == pytest.approx(0.5, abs=0.05)


def test_a_sharp_corner_is_a_turn_and_no_slow_curve() -> None:
    corner = sewn([(0, 0), (3, 0), (6, 0), (6, 3), (6, 6)])
    assert (speed_shares(corner, by_hand=True) == 1).all()


def test_by_the_hoop_long_stitches_are_slower() -> None:
    plan = sewn([(0, 0), (3, 0), (11, 0)])
    assert speed_shares(plan, by_hand=False).tolist() == [1.0, 0.5]


def test_a_class_takes_turns_at_its_machines() -> None:
    given = project(**{"class": {"students": 12, "machines": 5}})
    # three rounds of five, five and two
    assert class_minutes(given, 40) == 120
    assert class_minutes(project(), 40) is None

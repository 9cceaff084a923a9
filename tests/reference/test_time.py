"""Time, speeds and stitch lengths against values from outside the project."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from loftline.estimates import advise
from loftline.estimates.time import Stops, time_tables
from loftline.project import Project
from loftline.trade import machines
from loftline.trade.hoops import FIELDS, smallest_field
from loftline.units import stitch_length_from_per_inch
from support_sewn import lines, panel, project, row, sewn


def _parts(given: Project, stitches: int, cuts: int) -> Mapping[str, float]:
    plan = sewn(row(3 * stitches))
    return time_tables(given, plan, Stops(cuts=cuts, turns=0), ())[0].parts


def test_time_of_ten_thousand_stitches() -> None:
    # Machine embroidery handbooks: 10 000 stitches at 700 a minute are 14.29 min
    plain = project(machine={"stitches_per_minute": 700})
    assert _parts(plain, 10_000, cuts=0)["quilting"] == pytest.approx(14.29, abs=0.005)


@pytest.mark.parametrize("at_cuts", ["trim", "stop"])
def test_time_of_a_stop(at_cuts: str) -> None:
    # The same: each stop, trim or change of thread takes 6 to 20 s
    machine = project(machine={"at_cuts": at_cuts})
    assert 6 - 1e-9 <= _parts(machine, 600, cuts=10)["cuts"] * 60 / 10 <= 20 + 1e-9


def test_speed_of_home_machines() -> None:
    # Makers: home machines sew 400 to 800 stitches a minute
    assert list(machines.HOME_SPEED) == [400, 800]
    assert 400 <= project().machine.stitches_per_minute <= 800


@pytest.mark.parametrize(("mm", "per_inch"), [(2.5, 10.16), (3.0, 8.47), (4.0, 6.35)])
def test_stitches_per_inch(mm: float, per_inch: float) -> None:
    # Definition: 25.4 divided by the stitch length; published lists round it
    assert 25.4 / mm == pytest.approx(per_inch, abs=0.005)
    assert stitch_length_from_per_inch(25.4 / mm) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(
    ("mm", "unusual"), [(2.4, True), (2.5, False), (3.0, False), (3.2, False), (3.3, True)]
)
def test_usual_stitch_lengths(mm: float, *, unusual: bool) -> None:
    # Quilting handbooks: walking foot 2.5 to 3.0 mm, thick batting or heavy thread 2.8 to 3.2 mm
    found = advise(project(quilting={"stitch_length": mm}), panel(), lines())
    assert ("stitch-length-unusual" in {finding.code for finding in found}) == unusual


def test_hoop_fields() -> None:
    # Makers' data sheets; inch names round up and clash
    published = "100x100 110x110 130x180 150x240 160x260 200x200 200x300 230x230 240x360 360x200"
    assert {f"{w:g}x{h:g}" for w, h in FIELDS} >= set(published.split())
    assert smallest_field(180, 130) == (130, 180)
    assert smallest_field(180.1, 130) == (150, 240)

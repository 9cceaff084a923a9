"""A stitch file laid on a panel: what it would strike, what it holds, its picture."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from functools import cache
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from loftline.errors import StitchFileError
from loftline.inspection import Laid, draw_inspection, inspect_file, lay_on, size_of
from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.readers import READERS
from loftline.values import Plan, Sewn
from loftline.writers.stitch_files import write_stitch_file
from support_stitch_files import sewn_of

MAT = """
format = 1
name = "Saddle mat"
[panel]
shape = "rectangle"
width = 150
height = 100
overhang = 0
[[hardware]]
name = "left magnet"
kind = "sew-in magnet"
diameter = 18
at = [40, 50]
[[hardware]]
name = "snap"
kind = "magnetic snap"
diameter = 14
sits = "above"
fitted = "before quilting"
at = [110, 50]
[[keep_outs]]
name = "label"
shape = "rectangle"
at = [75, 20]
width = 20
height = 10
clearance = 3
[[fills]]
pattern = "channel"
angle = 90
spacing = 20
"""


@cache
def mat(hoop: str = "") -> Plan:
    return make_plan(parse_project(tomllib.loads(f"{MAT}[machine]\n{hoop}")))


def file_of(sewn: Sewn, ext: str = "dst") -> bytes:
    return write_stitch_file(ext, sewn, name="mat", at_cuts="trim")


def drawn(*runs: list[tuple[float, float]]) -> Sewn:
    """Runs in panel mm, as 3 mm stitches would have them, zero at the panel's corner."""
    rows = []
    for run in runs:
        row = [run[0]]
        for end in run[1:]:
            start, count = row[-1], max(1, round(np.hypot(*np.subtract(end, row[-1])) / 3))
            row += [
                (
                    start[0] + (end[0] - start[0]) * i / count,
                    start[1] + (end[1] - start[1]) * i / count,
                )
                for i in range(1, count + 1)
            ]
        rows.append([(round(x * 10), round(y * 10)) for x, y in row])
    return sewn_of(rows)


def laid(sewn: Sewn, file: str = "a.dst", plan: Plan | None = None) -> Laid:
    return lay_on(inspect_file(file, file_of(sewn)), plan or mat(), zero=(0, 0))


@pytest.mark.parametrize("ext", sorted(READERS))
def test_the_plan_s_own_file_strikes_nothing(ext: str) -> None:
    plan = mat()
    none = np.empty(0, np.int64)
    straight = replace(plan.sewn, via=none.reshape(0, 2), via_run=none)  # vp3 knows no places
    sewn = straight if ext == "vp3" else plan.sewn
    found = lay_on(inspect_file(f"any.{ext}", file_of(sewn, ext)), plan)
    assert found.strikes == ()
    assert found.planned
    assert [finding for finding in found.findings if finding.severity == "error"] == []
    assert np.array_equal(found.sewn.x, plan.sewn.x)


def test_a_line_through_a_magnet_strikes_it_and_says_where() -> None:
    found = laid(drawn([(10, 50), (70, 50)]))
    (struck,) = found.strikes
    assert struck.name == "left magnet"
    assert 31 - 3.1 <= struck.at[0] <= 49 + 3.1  # within a stitch of its edge, 18 mm across
    assert struck.at[1] == 50
    assert struck.stitches == 6 + 2  # from x 31 to 49, and two that end at its edge


def test_a_line_beside_a_magnet_is_too_near_but_strikes_nothing() -> None:
    found = laid(drawn([(10, 62), (70, 62)]))
    (near,) = [one for one in found.near if one.name == "left magnet"]
    assert not found.strikes
    assert near.too_near
    assert near.nearest == pytest.approx(62 - 50 - 9, abs=0.05)
    assert [f.code for f in found.findings if f.severity == "error"] == ["keep-out-entered"]


def test_the_foot_s_move_over_what_stands_above_is_a_strike() -> None:
    found = laid(drawn([(90, 90), (90, 95)], [(130, 8), (135, 8)]))
    (struck,) = found.strikes
    assert (struck.name, struck.stitches, struck.moved_over) == ("snap", 0, True)


def test_the_foot_beside_what_stands_above_is_a_strike() -> None:
    plan = mat("foot = { left = 12, right = 12, front = 5, back = 5 }\n")
    beside, before = drawn([(95, 45), (95, 55)]), drawn([(105, 35), (115, 35)])
    (struck,) = laid(beside, plan=plan).strikes  # 8 mm from its edge, under the foot's side
    assert (struck.name, struck.foot, struck.stitches) == ("snap", True, 0)
    assert [f.code for f in laid(beside, plan=plan).findings][-1] == "foot-strikes"
    assert laid(before, plan=plan).strikes == ()  # as near, but the foot is short there


def test_a_turned_hoop_turns_the_foot() -> None:
    plan = mat("foot = { left = 12, right = 12, front = 5, back = 5 }\n")
    hooping = replace(plan.hoopings[0], turn=90)
    turned = replace(plan, hoopings=(hooping,))
    before = drawn([(35, -115), (35, -105)])  # in the hoop's directions: x 105 to 115, y 35
    assert [one.name for one in laid(before, plan=turned).strikes] == ["snap"]


def test_a_move_over_what_lies_inside_is_none() -> None:
    found = laid(drawn([(20, 50), (20, 53)], [(65, 50), (65, 53)]))
    assert found.strikes == ()


def test_a_drawn_zone_is_sewn_over_but_not_struck() -> None:
    found = laid(drawn([(75, 2), (75, 40)]))
    assert found.strikes == ()
    assert [one.name for one in found.near if one.stitches] == ["label"]


def test_the_same_file_elsewhere_strikes() -> None:
    plan = mat()
    own = lay_on(inspect_file("a.dst", file_of(plan.sewn)), plan)
    moved = (own.zero[0] + 10, own.zero[1])
    found = lay_on(inspect_file("a.dst", file_of(plan.sewn)), plan, zero=moved)
    assert found.strikes
    assert not found.planned
    assert found.because == "you say so"


def test_what_is_struck_stands_first() -> None:
    found = laid(drawn([(10, 50), (70, 50)]))
    assert found.near[0].name == "left magnet"


HOOP = 'hoop = [100, 100]\nhoop_margin = 2\nformats = ["dst"]\n'


def test_a_file_is_known_by_what_it_holds_whatever_its_name() -> None:
    plan = mat(HOOP)
    assert len(plan.hoopings) > 1
    for number, hooping in enumerate(plan.hoopings):
        data = file_of(plan.sewn.in_hoop(hooping))
        found = lay_on(inspect_file("mat-1.dst", data), plan)
        assert (found.hooping, found.planned) == (number, True)
        assert np.array_equal(found.sewn.x, plan.sewn.part(hooping).x)
        assert np.array_equal(found.sewn.y, plan.sewn.part(hooping).y)


def test_the_number_in_a_name_says_which_hooping_another_file_is_for() -> None:
    plan = mat(HOOP)
    data = file_of(drawn([(0, 0), (9, 0)]))
    for name, number in (("mat-2.dst", 1), ("mat.dst", 0), ("mat-99.dst", 0)):
        found = lay_on(inspect_file(name, data), plan)
        origin = plan.hoopings[number].origin
        assert origin is not None
        assert found.hooping == number
        assert found.zero == (origin[0] / 10, origin[1] / 10)


def test_figures_of_a_file() -> None:
    sewn = drawn([(-10, 5), (20, 5)], [(20, 30), (20, 40), (22, 40)])
    found = inspect_file("A.DST", file_of(sewn))
    assert (found.points, found.runs) == (11 + 5, 2)
    assert found.low == (-10.0, 5.0)
    assert found.high == (22.0, 40.0)
    assert found.reach[0] == (-10.0, 0.0)
    assert found.length == pytest.approx(42, abs=0.1)
    assert found.longest == pytest.approx(10 / 3, abs=0.1)
    assert found.shortest == pytest.approx(2, abs=0.01)


def test_a_single_needle_point_has_no_stitch() -> None:
    found = inspect_file("a.exp", file_of(sewn_of([[(5, 5)]]), "exp"))
    assert (found.points, found.length, found.longest, found.shortest) == (1, 0, 0, 0)


@pytest.mark.parametrize("name", ["a.txt", "dst", "a.", ".svg", "a.csv"])
def test_other_endings_are_refused_in_words(name: str) -> None:
    with pytest.raises(StitchFileError, match="no ending of a stitch file"):
        inspect_file(name, b"LA:")


def test_the_picture_rings_what_would_be_struck() -> None:
    found = inspect_file("a.dst", file_of(drawn([(10, 50), (70, 50)])))
    there = lay_on(found, mat(), zero=(0, 0))
    root = ET.fromstring(draw_inspection(found, mat(), there))  # noqa: S314 - our own
    rings = [e for e in root.iter() if e.get("class") == "struck"]
    assert len(rings) == len(there.strikes) == 1


def test_the_picture_of_a_file_alone_has_every_run() -> None:
    found = inspect_file("a.dst", file_of(drawn([(0, 0), (9, 0)], [(9, 9), (0, 9)])))
    root = ET.fromstring(draw_inspection(found))  # noqa: S314 - our own
    assert len([e for e in root.iter() if e.get("class") == "run"]) == 2
    assert draw_inspection(found) == draw_inspection(found)


def test_a_picture_of_very_many_runs_is_refused_in_words() -> None:
    found = inspect_file("a.dst", file_of(drawn([(0, 0), (9, 0)])))
    with pytest.raises(StitchFileError, match="20,001 runs, more than a picture can show"):
        draw_inspection(replace(found, runs=20_001))


@pytest.mark.parametrize(
    ("file", "size"),
    [
        ("saddle-mat-l.dst", "L"),
        ("saddle-mat-l-12.dst", "L"),
        ("saddle-mat-s.gcode", "S"),
        ("other.dst", "S"),
        ("saddle-mat-1.dst", "S"),
    ],
)
def test_a_file_s_name_says_which_size_it_is_for(file: str, size: str) -> None:
    sizes = "".join(f'[[sizes]]\nname = "{name}"\ncopies = 2\n' for name in ("S", "M", "L"))
    project = parse_project(tomllib.loads(MAT + sizes))
    found, because = size_of(file, project)
    assert found == size
    assert ("by the file's name" in because) == ("-l" in file or "-s." in file)

"""The report's figures on needle points that can be reckoned by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from loftline.estimates import advise, make_report
from loftline.estimates.advice import MAGNETS, MAGNETS_CLING, MANUAL_FIRST, NEEDLE_STRIKE
from loftline.estimates.supplies import supplies, thread_totals
from loftline.geometry import circle
from loftline.project import Project
from loftline.values import Band, Fitted, Kind, Panel, Piece, Report, Sewn, Sits
from support_sewn import keep_out, lines, panel, project, row, runs, sewn


def report(given: Project, plan: Sewn, on: Panel | None = None) -> Report:
    return make_report(given, on or panel(), lines(), runs(), plan)


def piece(
    *, fitted: Fitted = "before quilting", magnetic: bool = False, sits: Sits = "inside"
) -> Piece:
    return Piece(
        name="piece",
        kind="piece",
        at=(100, 100),
        outline=circle((100, 100), 18),
        clearance=6.35,
        reach=6.35,
        sits=sits,
        fitted=fitted,
        magnetic=magnetic,
    )


def test_counts() -> None:
    found = report(project(), sewn(row(30), row(60, y=12), row(90, y=24)))
    # 11 + 21 + 31 needle points, less one for each of three runs
    assert (found.stitches, found.runs, found.cuts) == (60, 3, 2)
    assert found.length == {"line": 180.0, "travel": 0.0, "double": 0.0, "tie": 0.0}


def test_length_by_kind_of_the_stitch_that_ends_there() -> None:
    kinds = [Kind.TIE, Kind.TIE, Kind.LINE, Kind.TRAVEL, Kind.DOUBLE, Kind.REGISTRATION]
    plan = sewn([(0, 0), (0.5, 0), (3.5, 0), (3.5, 5), (7.5, 5), (7.5, 6)], kind=kinds)
    assert report(project(), plan).length == {
        "line": 3.0,
        "travel": 5.0,
        "double": 4.0,
        "tie": 0.5,
        "registration": 1.0,
    }


def test_nothing_sewn() -> None:
    found = report(project(), sewn())
    assert (found.stitches, found.runs, found.cuts, found.turns, found.minutes) == (0, 0, 0, 0, 0)
    assert found.needle_thread == Band(low=0, expected=0, high=0)


def test_thread_with_measured_thickness() -> None:
    # 100 stitches of 3 mm through 2 mm, one run: loops of 10 mm (rectangle),
    # 2 + 2 pi mm (stadium); half to each thread; tails of 50 mm at both ends
    found = report(project(layers={"sewn_thickness": 2}), sewn(row(300)))
    for band in (found.needle_thread, found.bobbin_thread):
        assert band.high == pytest.approx(100 * 10 / 2 + 100)
        assert band.expected == pytest.approx(100 * (2 + 2 * math.pi) / 2 + 100)
        assert 300 + 100 < band.low < band.expected
    assert "as you measured it" in found.model


def test_thread_with_loose_layers() -> None:
    layers = {"outer": {"thickness": 0.8}, "foam": {"thickness": 3.2}}
    found = report(project(layers=layers), sewn(row(300), row(300, y=12)))
    # 4 mm loose; of the cloth 0.8 to 1 is left inside the stitch, of the foam 0.35 to 1,
    # expected 0.9 x 0.8 + 0.6 x 3.2 = 2.64 mm; two runs
    assert found.needle_thread.high == pytest.approx(200 * 14 / 2 + 200)
    assert found.needle_thread.expected == pytest.approx(200 * (0.72 + 2.64 * math.pi) / 2 + 200)
    assert "1.8 to 4 mm inside the stitch, expected 2.6 mm" in found.model
    assert "common practice" in found.model


def test_no_thread_is_ever_shorter_than_the_seam() -> None:
    thin = project(layers={"sewn_thickness": 0.01}, thread={"waste": 0})
    found = report(thin, sewn(row(300)))
    assert found.needle_thread.low >= 300 + 100


def test_tails_are_longer_where_a_hand_cuts() -> None:
    thread = [
        report(project(machine=machine), sewn(row(300))).needle_thread.high
        for machine in ({"at_cuts": "trim"}, {"at_cuts": "stop"}, {"guided": "hand"})
    ]
    assert thread[1] - thread[0] == pytest.approx(100)
    assert thread[2] == thread[1]


def test_batch_is_copies_and_waste() -> None:
    found = report(project(copies=12, thread={"waste": 0.15}), sewn(row(300)))
    assert found.needle_batch == found.needle_thread.times(12 * 1.15)
    assert (found.copies, found.waste) == (12, 0.15)


def test_spools_fills_and_price() -> None:
    given = project(
        copies=3,
        thread={
            "waste": 0.2,
            "needle": {"metres": 100, "price": 4.5},
            "bobbin": {"metres": 30, "price": 0.8},
        },
    )
    one = Band(low=30_000, expected=40_000, high=55_556)
    needle, bobbin = thread_totals(given, one, one, ())
    # 3 bags and 20 % waste: 55.556 m become 200.0016 m
    assert (needle.to_buy, needle.price) == (3, 13.5)
    assert (bobbin.to_buy, bobbin.price) == (7, 5.6)
    assert supplies(given, (needle, bobbin), 1000) == {"thread_price": 19.1, "needles": 1}
    assert supplies(project(), thread_totals(project(), one, one, ()), 1000) == {"needles": 1}


def test_needles_wear_out() -> None:
    # 600 a minute for 8 hours: 288 000 stitches
    assert supplies(project(copies=288), (), 1000)["needles"] == 1
    assert supplies(project(copies=289), (), 1000)["needles"] == 2


def test_costs_are_those_of_the_runs() -> None:
    found = make_report(project(), panel(), lines(), runs(321.5, 300.25), sewn(row(30)))
    assert (found.cost, found.least_cost, found.optimal) == (321.5, 300.25, False)
    assert make_report(project(), panel(), lines(), runs(optimal=True), sewn(row(30))).optimal


def test_versions_name_what_the_bytes_depend_on() -> None:
    versions = report(project(), sewn(row(30))).versions
    assert versions["numpy"] == np.__version__
    known = {"loftline", "networkx", "pyembroidery", "rectpack", "rustworkx", "scipy", "shapely"}
    assert known <= set(versions)
    assert list(versions) == sorted(versions)


def test_cautions_only_where_they_apply() -> None:
    def said(*pieces: Piece) -> tuple[str, ...]:
        return report(project(), sewn(row(30)), panel(pieces=pieces)).cautions

    assert said() == ()
    assert said(piece(fitted="after lining")) == ()
    assert said(piece()) == (NEEDLE_STRIKE, MANUAL_FIRST)
    assert said(piece(magnetic=True)) == (NEEDLE_STRIKE, MAGNETS, MAGNETS_CLING, MANUAL_FIRST)
    assert said(piece(magnetic=True, fitted="after lining")) == (MAGNETS, MANUAL_FIRST)


def test_hardware_that_hinders_the_sewing() -> None:
    below = keep_out("rivet", circle((50, 50), 10), sits="below")
    found = advise(
        project(), panel(below, pieces=(piece(magnetic=True), piece(sits="above"))), lines()
    )
    assert [(finding.code, finding.severity) for finding in found] == [
        ("hardware-below", "warning"),
        ("magnets-first", "note"),
    ]
    assert [finding.where for finding in found] == ['"rivet"', '"piece"']
    later = piece(magnetic=True, fitted="after quilting")
    assert advise(project(), panel(pieces=(later,)), lines()) == ()


def test_thread_too_thick_for_any_needle() -> None:
    def codes(tex: float) -> set[str]:
        given = project(thread={"needle": {"tex": tex}})
        return {finding.code for finding in advise(given, panel(), lines())}

    assert "thread-too-thick" not in codes(120)
    assert "thread-too-thick" in codes(150)


@pytest.mark.parametrize(
    ("outer", "warns"),
    [
        ({"kind": "cotton canvas"}, False),
        ({"kind": "vinyl"}, True),
        ({"kind": "vinyl", "heat": True}, False),
        ({"kind": "cotton canvas", "heat": False}, True),
        ({"kind": "cotton canvas", "keeps_holes": True}, True),
    ],
)
def test_iron_on_foam_under_cloth_that_bears_none(outer: dict[str, object], *, warns: bool) -> None:
    given = project(layers={"outer": outer, "foam": {"kind": "fusible fleece"}})
    codes = [finding.code for finding in advise(given, panel(), lines())]
    assert codes == ["foam-needs-iron"] * warns


def test_a_fill_that_drew_nothing_needs_no_spacing() -> None:
    given = project(
        layers={"foam": {"kind": "wool batting"}},
        fills=[
            {"pattern": "channel", "spacing": 12},
            {"pattern": "channel", "spacing": 80, "part": "all"},
        ],
    )
    assert [f.where for f in advise(given, panel(), lines(2))] == ["fills[1].spacing"]
    assert advise(given, panel(), lines(1)) == ()


def test_lengths_are_told_in_the_makers_unit() -> None:
    thick = {"foam": {"kind": "foam", "thickness": 0.3}}
    panel = {"shape": "rectangle", "width": 8, "height": 8}
    given = project(units="in", panel=panel, layers=thick)
    assert "0.31 in" in " ".join(report(given, sewn(row(30))).advice)

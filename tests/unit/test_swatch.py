"""A sewn test piece: written, measured, and what its readings tell."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from loftline.cli.swatch_words import swatch_sentences
from loftline.errors import ProjectError
from loftline.estimates.calibration import draw_in_of, stitch_of, thickness_in
from loftline.estimates.layers import stitch_thickness
from loftline.estimates.report import make_report
from loftline.estimates.thread import stadium
from loftline.plan import make_plan
from loftline.project import Project, SwatchSpec, parse_project
from loftline.swatch import swatch_project
from support_sewn import lines, panel, project, row, runs, sewn

POUCH: dict[str, Any] = {
    "name": "Spoke pouch",
    "copies": 12,
    "panel": {"shape": "folded pouch", "width": 200, "body": 150, "flap": 100},
    "fills": [
        {"pattern": "channel", "spacing": 14, "angle": 30},
        {"pattern": "grid", "part": "flap", "spacing": 20},
    ],
}


def threads(thickness: float, stitch: float = 3.0, sewn_mm: float = 100.0) -> float:
    """One thread of a balanced lockstitch over a length, by the stadium."""
    return float(stadium(stitch, thickness)) / 2 * sewn_mm / stitch


@pytest.mark.parametrize("thickness", [0.0, 0.4, 2.0, 3.0, 4.5, 9.0])
@pytest.mark.parametrize("stitch", [2.0, 3.0, 5.0])
def test_a_swatch_of_known_thickness_is_recovered(thickness: float, stitch: float) -> None:
    thread = threads(thickness, stitch)
    found = stitch_of(SwatchSpec(needle=(thread,), bobbin=(thread,)), stitch)
    assert found is not None
    assert found.thickness.expected == pytest.approx(thickness, abs=1e-9)
    assert found.thickness.low <= found.thickness.expected <= found.thickness.high


def test_thickness_is_the_other_way_round_of_the_stadium() -> None:
    for thickness in np.linspace(0, 12, 50):
        assert thickness_in(float(stadium(3.0, thickness)), 3.0) == pytest.approx(thickness)


def test_the_needles_share_is_recovered() -> None:
    both = 2 * threads(2.0)
    needle = 100 + 0.7 * (both - 200)
    found = stitch_of(SwatchSpec(needle=(needle,), bobbin=(both - needle,)), 3.0)
    assert found is not None
    assert found.share == pytest.approx(0.7)


def test_the_band_shrinks_with_more_readings() -> None:
    def width(count: int) -> float:
        readings = tuple(threads(2.0) + off for off in np.resize([-1.0, 1.0], count))
        found = stitch_of(SwatchSpec(needle=readings, bobbin=readings), 3.0)
        assert found is not None
        return found.thickness.high - found.thickness.low

    assert width(16) < width(4) < width(2)


def test_readings_that_scatter_more_make_a_wider_band() -> None:
    def width(off: float) -> float:
        readings = (threads(2.0) - off, threads(2.0), threads(2.0) + off)
        found = stitch_of(SwatchSpec(needle=readings, bobbin=readings), 3.0)
        assert found is not None
        return found.thickness.high - found.thickness.low

    assert width(0) < width(6) < width(12)


def test_the_swatch_rules_the_thread_of_the_plan() -> None:
    thread = threads(2.0)
    given = project(swatch={"needle": [thread], "bobbin": [thread]})
    report = make_report(given, panel(), lines(), runs(), sewn(row(300)))
    # 100 stitches of 3 mm: three times the swatch's 100 mm, and tails
    assert report.needle_thread.expected == pytest.approx(3 * thread + 100)
    plain = make_report(project(), panel(), lines(), runs(), sewn(row(300)))
    band, wide = report.needle_thread, plain.needle_thread
    assert band.high - band.low < (wide.high - wide.low) / 4
    assert "your swatch, 1 reading" in report.model


def test_the_foam_that_the_swatch_tells_of_holds_for_every_seam() -> None:
    thread = threads(2.0)
    layers = {"outer": {"thickness": 0.5}, "foam": {"thickness": 4}}
    given = project(layers=layers, swatch={"needle": [thread], "bobbin": [thread]})
    # 0.45 mm of cloth, so 1.55 mm of foam
    four = stitch_thickness(given, ("outer", "foam", "foam", "outer"))
    assert four.expected == pytest.approx(2 * 0.45 + 2 * 1.55)


def test_draw_in_is_told_each_way_with_what_a_ruler_tells() -> None:
    found = draw_in_of(SwatchSpec(before=(100, 100), after=(98, 100)))
    assert found is not None
    along, across = found
    assert (along.low, along.expected, along.high) == pytest.approx((1.5, 2.0, 2.5))
    assert (across.low, across.expected) == (0, 0)
    assert draw_in_of(SwatchSpec()) is None


@pytest.mark.parametrize(
    ("swatch", "more", "says"),
    [
        ({"needle": [180]}, {}, "swatch.bobbin: is missing"),
        ({"needle": [180, 190], "bobbin": [180]}, {}, "both threads of each line"),
        ({"needle": [80], "bobbin": [180]}, {}, "no shorter than the line"),
        ({"before": [100, 100]}, {}, "swatch.after: is missing"),
        ({"before": [100, 100], "after": [98, 130]}, {}, "draws a piece in"),
        ({"before": [100, 100], "after": [98, 10]}, {}, "by more than 20 %"),
        (
            {"needle": [180], "bobbin": [180]},
            {"layers": {"sewn_thickness": 2}},
            "layers.sewn_thickness: the swatch tells this already",
        ),
        ({"needle": "long", "bobbin": [180]}, {}, "should be a list"),
    ],
)
def test_readings_that_cannot_be(
    swatch: dict[str, object], more: dict[str, object], says: str
) -> None:
    with pytest.raises(ProjectError, match=says):
        parse_project(POUCH | {"swatch": swatch} | more)


def test_the_test_piece_is_a_square_of_the_bags_own_design() -> None:
    piece = swatch_project(parse_project(POUCH))
    assert (piece.name, piece.copies) == ("Spoke pouch swatch", 1)
    assert (piece.panel.width, piece.panel.height) == (100, 100)
    assert (piece.fills[0].spacing, piece.fills[0].angles) == (14, (30,))
    assert make_plan(piece).clean


def test_the_test_piece_is_never_drawn_larger_for_the_draw_in() -> None:
    larger = POUCH | {"quilting": {"draw_in": 3, "allow_for_draw_in": True}}
    piece = swatch_project(parse_project(larger))
    assert make_plan(piece).panel.outline.bounds == (0, 0, 100, 100)


def test_another_design_lies_over_the_whole_test_piece() -> None:
    piece = swatch_project(parse_project(POUCH), 2)
    assert (piece.fills[0].pattern, piece.fills[0].part) == ("grid", "all")


def test_a_design_that_is_not_there() -> None:
    with pytest.raises(ProjectError, match="there is no design 3; the project has 2"):
        swatch_project(parse_project(POUCH), 3)


def test_a_test_piece_has_no_seams() -> None:
    piece: Project = swatch_project(parse_project(POUCH))
    assert make_plan(piece).report.seams == ()


def test_readings_are_taken_in_the_makers_unit() -> None:
    inches = {"units": "in", "panel": {"shape": "rectangle", "width": 8, "height": 8}}
    found = parse_project(
        inches
        | {"fills": [{"pattern": "channel"}]}
        | {"swatch": {"sewn": 4, "needle": [7.5], "bobbin": ["180 mm"]}}
    )
    assert found.swatch is not None
    assert found.swatch.needle == pytest.approx((190.5,))
    assert found.swatch.bobbin == pytest.approx((180,))
    assert math.isclose(found.swatch.sewn, 101.6)


@pytest.mark.parametrize("back", [False, True])
def test_whose_reading_is_the_needles_is_said_where_the_other_thread_shows(*, back: bool) -> None:
    says = " ".join(swatch_sentences(3.0, "mm", outer_down=back))
    assert ("needle is what went through the needle, the thread on the back" in says) == back


def test_a_swatch_from_the_back_is_read_as_it_was_sewn() -> None:
    # both threads of a stitch are shared out as they were measured: more by the needle's
    table = {
        "panel": {"shape": "rectangle", "width": 100, "height": 60},
        "fills": [{"pattern": "channel", "spacing": 12}],
        "quilting": {"sewn_from": "back"},
        "swatch": {"needle": [170, 170], "bobbin": [130, 130]},
    }
    report = make_plan(parse_project(table)).report
    assert report.needle_thread.expected > report.bobbin_thread.expected

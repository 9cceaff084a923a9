"""Outlines that touch or cross themselves: trifles are mended and told, the rest is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from loftline.project.drawn import Refusal
from loftline.project.drawn.mending import mended
from support_drawings import polygon, read, svg

Points = list[tuple[float, float]]

# a knot in the lower edge: out to x = 50.4 and back to 50 before going on
KNOT: Points = [(0, 0), (50.4, 0), (50.2, 0.3), (50, -0.1), (100, -0.1), (100, 80), (0, 80)]
# a bay that goes in at (50, 0), round a square and out at the same place
BAY: Points = [(0, 0), (50, 0), (30, 30), (50, 50), (70, 30), (50, 0), (100, 0), (100, 80), (0, 80)]
# two lobes that meet at one place
WAIST: Points = [(0, 0), (50, 40), (100, 0), (100, 80), (50, 40), (0, 80)]
# a hole reached by a slit of no width
KEYHOLE: Points = [
    *[(0, 0), (50, 0), (50, 20), (40, 30), (50, 40), (60, 30), (50, 20), (50, 0)],
    *[(100, 0), (100, 80), (0, 80)],
]
TWICE_ROUND: Points = [
    (50 + 40 * math.cos(turn * 4 * math.pi / 50), 50 + 30 * math.sin(turn * 4.16 * math.pi / 50))
    for turn in range(50)
]
LOOP: Points = [(0, 0), (100, 0), (100, 80), (40, 80), (40, 60), (60, 60), (60, 100), (0, 100)]
BOW: Points = [(0, 0), (100, 80), (100, 0), (0, 80)]


def drawn(points: Points) -> bytes:
    """With y turned, so that places are those above."""
    top = max(y for _, y in points)
    return svg(polygon([(x, top - y) for x, y in points]))


def test_a_knot_too_small_to_cut_is_left_out() -> None:
    found = mended(np.array(KNOT, dtype=np.float64))
    assert found is not None
    assert found.area.is_valid
    assert shapely.hausdorff_distance(found.area, shapely.box(0, 0, 100, 80)) < 1
    assert len(found.loops) == 1


def test_a_knot_is_told_with_its_place() -> None:
    says = read(drawn(KNOT)).found
    assert "a loop or spike too small to cut was left out, at (50." in says


def test_a_larger_knot_is_refused_with_its_place() -> None:
    larger = [(x if x in (0, 100) else 50 + 5 * (x - 50), y if y > 1 else 5 * y) for x, y in KNOT]
    with pytest.raises(Refusal, match=r"the outline crosses or touches itself at \(5"):
        read(drawn(larger))


def test_a_bay_that_closes_at_its_mouth_is_a_hole() -> None:
    drawing = read(drawn(BAY))
    assert drawing.outline.area == pytest.approx(100 * 80 - 1000)  # half of 40 by 50
    assert "the line touches itself at (50.0, 0.0); what it shuts in is a hole" in drawing.found


def test_a_hole_reached_by_a_slit_is_a_hole() -> None:
    drawing = read(drawn(KEYHOLE))
    assert drawing.outline.area == pytest.approx(100 * 80 - 200)
    assert len(drawing.outline.interiors) == 1


@pytest.mark.parametrize("points", [WAIST, LOOP, BOW, TWICE_ROUND])
def test_what_really_crosses_is_refused(points: Points) -> None:
    assert mended(np.array(points, dtype=np.float64)) is None
    with pytest.raises(Refusal, match=r"the outline crosses or touches itself at \("):
        read(drawn(points))


def test_a_spike_of_no_width_is_left_out_and_told() -> None:
    spike = [(0, 0), (100, 0), (100, 40), (120, 40), (100, 40), (100, 80), (0, 80)]
    drawing = read(drawn([(float(x), float(y)) for x, y in spike]))
    assert drawing.outline.equals(shapely.box(0, 0, 100, 80))
    assert "spike too small to cut was left out, at (120.0, 40.0)" in drawing.found


def test_a_sound_outline_is_left_as_it_is() -> None:
    found = mended(np.array([(0, 0), (9, 0), (9, 9)], dtype=np.float64))
    assert found is not None
    assert (found.area.area, found.loops, found.touches) == (40.5, (), ())


def test_the_outline_is_what_encloses_most_not_what_reaches_farthest() -> None:
    frame = [(0, 0), (200, 0), (200, 3), (3, 3), (3, 200), (0, 200)]
    body = polygon(frame) + '<rect id="bag" x="20" y="20" width="100" height="100"/>'
    assert read(svg(body)).outline.equals(shapely.box(0, 0, 100, 100))


def test_one_that_crosses_itself_does_not_give_way_to_a_smaller_one() -> None:
    bow = polygon([(0, 0), (100, 80), (100, 0), (0, 80)])
    with pytest.raises(Refusal, match="the outline crosses or touches itself"):
        read(svg(bow + '<rect x="200" width="50" height="20"/>'))


def test_a_long_open_line_is_no_outline_left_open() -> None:
    arrow = '<path id="grain" d="M0 0L290 290"/>'
    drawing = read(svg('<rect x="10" y="20" width="100" height="70"/>' + arrow))
    assert drawing.outline.equals(shapely.box(0, 0, 100, 70))
    assert drawing.ignored == "not used: 1 open line"


def test_a_seam_line_inside_the_cut_line_is_asked_about() -> None:
    body = '<rect width="100" height="80"/><rect x="8" y="8" width="84" height="64"/>'
    assert "a hole takes up 67 % of it: if that line is no hole" in read(svg(body)).found
    assert "takes up" not in read(svg('<g id="cut"><rect width="100" height="80"/></g>')).found


def test_islands_each_can_be_chosen_by_their_id() -> None:
    body = '<g id="land"><rect id="big" width="100" height="80"/>'
    body += '<rect id="small" x="150" width="40" height="30"/></g>'
    assert read(svg(body)).outline.bounds[2] == 100
    small = read(svg(body), outline="small")
    assert small.outline.bounds[2] == 40
    assert small.ignored == "not used: 1 line of another layer"

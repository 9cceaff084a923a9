"""Lines that a drawing leaves open inside its outline."""

from __future__ import annotations

from loftline.project.drawn import read_drawing
from loftline.project.drawn.drawing import Wanted
from support_drawings import polygon, svg

BOX = polygon([(10.0, 10.0), (190.0, 10.0), (190.0, 190.0), (10.0, 190.0)])


def found(more: str) -> str:
    return read_drawing("panel.svg", svg(BOX + more), Wanted()).found


def test_a_hole_left_open_is_told_with_both_its_ends() -> None:
    # by hand: SVG measures down; from the lower left corner of the box 40, 140 and 40, 130
    says = (
        "the open line from (40.0, 140.0) to (40.0, 130.0) is no hole: its ends lie 10.0 mm apart"
    )
    assert says in found('<path d="M50 50h40v40h-40v-30"/>')


def test_the_largest_one_is_told() -> None:
    small = '<path d="M100 100h10v10h-10v-8"/>'
    assert "(40.0, 140.0)" in found('<path d="M50 50h40v40h-40v-30"/>' + small)


def test_a_straight_line_is_not_taken_for_a_hole() -> None:
    assert "open" not in found('<path d="M50 50h40"/>')

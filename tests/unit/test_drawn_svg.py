"""Outlines drawn as SVG."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely

from loftline.project.drawn import Refusal
from support_drawings import SQUARE, polygon, read, svg

BOX = '<rect x="10" y="20" width="100" height="70"/>'


def refused(data: bytes, **wanted: str) -> str:
    with pytest.raises(Refusal) as caught:
        read(data, **wanted)
    return f"{caught.value.key}: {caught.value.says}"


def test_y_is_turned_up_and_the_corner_is_the_origin() -> None:
    drawing = read(svg(BOX + '<rect x="20" y="30" width="10" height="20"/>'))
    assert drawing.outline.bounds == pytest.approx((0, 0, 100, 70))
    assert shapely.Polygon(drawing.outline.interiors[0]).bounds == pytest.approx((10, 40, 20, 60))


@pytest.mark.parametrize(
    ("head", "width"),
    [
        ('width="300mm" height="300mm" viewBox="0 0 300 300"', 100),
        ('width="30cm" height="30cm" viewBox="0 0 300 300"', 100),
        ('width="600mm" height="600mm" viewBox="0 0 300 300"', 200),
        ('width="12in" height="12in" viewBox="0 0 300 300"', 101.6),
        ('width="72pt" height="72pt" viewBox="0 0 72 72"', 100 * 25.4 / 72),
        ('width="300" height="300"', 100 * 25.4 / 96),
        ('viewBox="0 0 300 300"', 100 * 25.4 / 96),
        ('width="100%" height="100%" viewBox="0 0 300 300"', 100 * 25.4 / 96),
        ('width="300mm" height="600mm" viewBox="0 0 300 300"', 100),
        ('width="300mm" height="600mm" viewBox="0 0 300 300" preserveAspectRatio="none"', 100),
        ("", 100 * 25.4 / 96),
    ],
)
def test_sizes_of_the_page(head: str, width: float) -> None:
    assert read(svg(BOX, head)).outline.bounds[2] == pytest.approx(width, rel=1e-9)


def test_a_page_stretched_on_purpose() -> None:
    head = 'width="300mm" height="600mm" viewBox="0 0 300 300" preserveAspectRatio="none"'
    assert read(svg(BOX, head)).outline.bounds == pytest.approx((0, 0, 100, 140))


@pytest.mark.parametrize(("unit", "width"), [("mm", 100), ("cm", 1000), ("in", 2540)])
def test_the_unit_key_overrules_the_page(unit: str, width: float) -> None:
    for head in ("", 'width="9in" height="9in" viewBox="0 0 300 300"'):
        assert read(svg(BOX, head), unit=unit).outline.bounds[2] == pytest.approx(width)


def test_what_no_unit_means_is_said() -> None:
    assert "96 of its units are an inch" in read(svg(BOX, "")).found
    assert "sizes as the file says" in read(svg(BOX)).found


@pytest.mark.parametrize(
    "body",
    [
        f'<g transform="translate(5 6)">{BOX}</g>',
        f'<g transform="translate(5,6) scale(2) scale(.5)"><g>{BOX}</g></g>',
        f'<svg x="3" y="4">{BOX}</svg>',
        f'<svg x="3" y="4" width="600" height="600" viewBox="0 0 600 600">{BOX}</svg>',
        f'<defs><g id="a">{BOX}</g></defs><use xlink:href="#a" x="4" y="5"/>',
        f'<defs><g id="a">{BOX}</g></defs><use href="#a"/>',
        f'<symbol id="a">{BOX}</symbol><use href="#a" y="5"/>',
        f'<symbol id="a" viewBox="0 0 300 300">{BOX}</symbol><use href="#a" y="5"/>',
        f"<!-- a comment --><a>{BOX}</a><script>0</script><style>g</style>",
        '<path d="M10 20h100v70H10z"/>',
        '<path d="m10,20 100,0 0,70-100,0z"/>',
        '<path d="M10 20h100v70h-100z Z , z"/>',
        '<path d="M10 20h100v70h-100zl-50 30"/>',
        '<path d="M10 20L110 20 110 90 10 90Z"/>',
        '<polyline points="10,20 110,20 110,90 10,90 10,20"/>',
        '<rect x="1cm" y="10" width="33.33333333333333%" height="70" transform="rotate(0)"/>',
    ],
)
def test_the_same_rectangle_in_other_words(body: str) -> None:
    found = read(svg(body)).outline
    width = 1.0 if "cm" in body else 100.0
    if width == 100:
        assert found.equals_exact(shapely.box(0, 0, 100, 70).normalize(), 1e-6) or (
            found.symmetric_difference(shapely.box(0, 0, 100, 70)).area < 1e-6
        )
    else:
        assert found.bounds[3] == pytest.approx(70)


def test_hidden_lines_count_for_nothing() -> None:
    hidden = (
        '<rect display="none" width="290" height="290"/>'
        '<g style="fill:red; display:none"><rect width="290" height="290"/></g>'
        '<g visibility="hidden"><rect width="290" height="290"/></g>'
    )
    drawing = read(svg(hidden + BOX))
    assert drawing.outline.bounds[2] == pytest.approx(100)
    assert "3 hidden shapes" in drawing.ignored


def test_what_is_left_out_is_counted() -> None:
    more = '<text>x</text><text>y</text><image href="http://a/b.png"/><line x2="9"/>'
    assert read(svg(BOX + more)).ignored == "not used: 2 texts, 1 image and 1 open line"
    assert read(svg(BOX)).ignored == ""


@pytest.mark.parametrize(
    ("body", "area"),
    [
        ('<circle cx="50" cy="50" r="40"/>', math.pi * 1600),
        ('<ellipse cx="50" cy="50" rx="40" ry="20" transform="skewX(20)"/>', math.pi * 800),
        ('<path d="M10 50a40 40 0 0 0 80 0a40 40 0 0 0 -80 0z"/>', math.pi * 1600),
        ('<path d="M10 50a40,40 0 01 80,0a40,40,0,0180 0" transform="scale(1 1)"/>', None),
        ('<rect x="5" y="5" width="60" height="40" rx="10"/>', 2400 - (4 - math.pi) * 100),
        ('<path d="M0 0C0 60 80 60 80 0z"/>', 0.6 * 80 * 60 * 1.0),
        ('<path d="M0 0Q40 60 80 0z"/>', 80 * 60 / 3),
    ],
)
def test_curves(body: str, area: float | None) -> None:
    if area is None:
        assert "open" in refused(svg(body))
        return
    # a band of 0.05 mm along the curve is all that may be missing
    found = read(svg(body)).outline
    assert abs(found.area - area) < 0.05 * found.length


def test_layers_and_ids() -> None:
    body = (
        f'<g id="layer1" n:label="Cut">{BOX}<circle cx="30" cy="40" r="5"/></g>'
        '<g n:label="keep"><circle id="badge" cx="80" cy="50" r="9"/>'
        '<circle cx="60" cy="60" r="3"/></g>'
        '<g n:label="creases"><line id="base fold" x1="10" y1="50" x2="110" y2="50"/>'
        '<path d="M10 80H60H110"/></g>'
        '<g n:label="areas"><rect id="front" x="10" y="50" width="100" height="40"/></g>'
        '<rect x="1" y="1" width="298" height="298"/>'
    )
    drawing = read(svg(body), outline="cut", keep_outs="keep", folds="creases", parts="areas")
    assert drawing.outline.bounds == pytest.approx((0, 0, 100, 70))
    assert len(drawing.outline.interiors) == 1
    assert [zone.name for zone in drawing.keep_outs] == ["badge", "keep 2"]
    assert [fold.name for fold in drawing.folds] == ["base fold", "fold"]
    assert drawing.folds[0].start == pytest.approx((0, 40))
    assert drawing.folds[1].end == pytest.approx((100, 10))
    assert [(part.name, part.area.bounds) for part in drawing.parts] == [("front", (0, 0, 100, 40))]
    found = 'with 1 hole, 2 folds ("base fold", "fold"), 2 keep-outs ("badge", "keep 2")'
    assert f'{found} and 1 part ("front")' in drawing.found
    assert "1 line of another layer" in drawing.ignored


def test_holes_from_their_own_layer_only() -> None:
    body = (
        f'<g id="cut">{BOX}<circle cx="30" cy="40" r="5"/></g>'
        '<circle id="window" cx="80" cy="50" r="9"/>'
    )
    drawing = read(svg(body), outline="cut", holes="window")
    (hole,) = drawing.outline.interiors
    assert shapely.Polygon(hole).centroid.coords[0] == pytest.approx((70, 40))


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ("", "file: the drawing holds no lines"),
        ('<path d="M10 10 100 10 100 80 10 80"/>', "70.0 mm apart, at (0.0, 70.0) and (0.0, 0.0)"),
        ('<path d="M0 0 100 100 100 0 0 100z"/>', "crosses or touches itself at (50.0, 50.0)"),
        (BOX + '<circle cx="110" cy="50" r="9"/>', "crosses or touches the outline at (100.0, "),
        (
            BOX + '<circle cx="50" cy="50" r="9"/><circle cx="60" cy="50" r="9"/>',
            "the outline and its holes cross or touch at (45.0, ",
        ),
        ('<path d="M0 0h9v9' + '"/>', "the outline is open"),
        ('<rect width="3" height="2"/>', "too small for a panel: is the unit right?"),
        ('<path d="M10 nan h5z"/>', "a path of the drawing holds something that is no path"),
        ('<path id="p" d="M10 10 h5 v"/>', 'path "p" has a number too few or too many'),
        ('<path d="M10 10 L5 5 7z"/>', "number too few or too many"),
        ('<polygon points="1,2 NaN,4 5,6"/>', "no number"),
        ('<rect width="1e400" height="5"/>', "that is too large"),
        ('<rect width="5parsec" height="5"/>', '"5parsec", which is not read'),
        ('<rect width="50" height="50" transform="turn(4)"/>', "transform that cannot be read"),
        ('<rect width="50" height="50" transform="scale(0)"/>', "scaled to nothing"),
        ('<rect width="50" height="50" transform="translate(1e300)"/>', "farther than 10 km"),
        ('<use href="#a" id="a"/>', 'use "a" is used inside itself'),
        ('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>', "is used inside itself"),
    ],
)
def test_refused_with_the_place(body: str, says: str) -> None:
    assert says in refused(svg(body))


def test_a_layer_that_is_not_there() -> None:
    said = refused(svg(f'<g id="outer cut">{BOX}</g>'), outline="outer cuts")
    assert said.startswith('outline: found "outer cuts"; no line lies on such a layer')
    assert 'did you mean "outer cut"?' in said


def test_one_layer_for_one_thing() -> None:
    said = refused(svg(f'<g id="a">{BOX}</g>'), outline="a", holes="A")
    assert said == "holes: names the same layer as outline"


def test_a_fold_is_straight() -> None:
    body = f'<g id="cut">{BOX}</g><path id="f" d="M10 50 60 55 110 50"/>'
    assert 'the fold "f" at (0.0, 40.0) is not straight' in refused(svg(body), folds="f")


def test_small_gaps_are_closed_and_told() -> None:
    drawing = read(svg('<path d="M10 20H110V90H10V20.4"/>'))
    assert drawing.outline.area == pytest.approx(7000)
    assert "a gap was closed, 0.40 mm at (0.0, 69.6)" in drawing.found
    assert "open" in refused(svg('<path d="M10 20H110V90H10V20.6"/>'))


def test_an_outline_of_loose_lines_in_any_order() -> None:
    corners = [*SQUARE, SQUARE[0]]
    ends = list(pairwise(corners))
    ends = [ends[2], ends[0][::-1], ends[3], ends[1]]
    body = "".join(f'<line x1="{a[0]}" y1="{a[1]}" x2="{b[0]}" y2="{b[1]}"/>' for a, b in ends)
    assert read(svg(body)).outline.equals(shapely.box(0, 0, 100, 70))


def test_an_outline_drawn_twice_is_one() -> None:
    assert read(svg(BOX + BOX)).outline.equals(shapely.box(0, 0, 100, 70))


def test_islands_are_left_out_and_lakes_are_holes() -> None:
    lake = polygon([(30, 30), (60, 30), (60, 60), (30, 60)])
    island_in_lake = polygon([(40, 40), (50, 40), (50, 50), (40, 50)])
    drawing = read(svg(BOX + lake + island_in_lake + '<rect x="200" width="20" height="20"/>'))
    assert drawing.outline.area == 7000 - 900
    assert "1 closed line that is none of these" in drawing.ignored
    assert "1 thing outside the outline" in drawing.ignored


def test_a_plain_document_type_is_read_and_no_other() -> None:
    kind = b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/svg11.dtd">'
    head = b'<?xml version="1.0" encoding="UTF-8"?>\n'
    assert read(head + kind + svg(BOX)).outline.area == pytest.approx(7000)
    own = head + b'<!DOCTYPE svg [<!ENTITY a "1">]>' + svg(BOX)
    assert "declares a document type of its own" in refused(own)

"""Outlines drawn as DXF."""

from __future__ import annotations

import math

import pytest
import shapely

from loftline.project.drawn import Refusal, Wanted, read_drawing
from support_drawings import SQUARE, dxf, line, polyline, read

BOX = polyline(SQUARE, "CUT")
CIRCLE = "0 CIRCLE\n8 {layer}\n10 {x}\n20 {y}\n40 {r}\n"


def refused(data: bytes, **wanted: str) -> str:
    with pytest.raises(Refusal) as caught:
        read(data, **wanted)
    return f"{caught.value.key}: {caught.value.says}"


def test_the_corner_is_the_origin_and_y_is_up() -> None:
    hole = polyline([(20, 30), (30, 30), (30, 50), (20, 50)], "CUT")
    drawing = read(dxf(BOX + hole))
    assert drawing.outline.bounds == pytest.approx((0, 0, 100, 70))
    assert shapely.Polygon(drawing.outline.interiors[0]).bounds == (10, 10, 20, 30)


@pytest.mark.parametrize(
    ("code", "width", "words"),
    [(4, 100, "in mm"), (5, 1000, "in cm"), (1, 2540, "in inches")],
)
def test_units_of_the_file(code: int, width: float, words: str) -> None:
    drawing = read(dxf(BOX, insunits=code))
    assert drawing.outline.bounds[2] == pytest.approx(width)
    assert f"sizes {words}, as the file says" in drawing.found


@pytest.mark.parametrize(("unit", "width"), [("mm", 100), ("cm", 1000), ("in", 2540)])
def test_the_unit_is_asked_for_when_the_file_has_none(unit: str, width: float) -> None:
    said = refused(dxf(BOX, insunits=0))
    assert said.startswith('unit: is missing; the drawing names no unit: add unit = "mm"')
    assert read(dxf(BOX, insunits=0), unit=unit).outline.bounds[2] == pytest.approx(width)
    assert "is in a unit that no bag is drawn in" in refused(dxf(BOX, insunits=3))


def test_bulges_are_arcs() -> None:
    # a stadium: two half circles of radius 20 at the ends of 60
    points = [(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)]
    found = read(dxf(polyline(points, bulges={1: 1.0, 3: 1.0}))).outline
    true = shapely.LineString([(20, 20), (80, 20)]).buffer(20, quad_segs=500)
    assert shapely.hausdorff_distance(found.exterior, true.exterior) < 0.05
    assert found.bounds == pytest.approx((0, 0, 100, 40), abs=0.05)


def test_lines_and_arcs_are_joined() -> None:
    arc = "0 ARC\n8 CUT\n10 60\n20 20\n40 20\n50 270\n51 90\n"
    body = line((60, 40), (0, 40), "CUT") + arc + line((0, 0), (60, 0), "CUT")
    body += line((0, 40), (0, 0.3), "CUT")
    drawing = read(dxf(body))
    assert abs(drawing.outline.area - (2400 + math.pi * 200)) < 0.05 * drawing.outline.length
    assert "a gap was closed, 0.30 mm" in drawing.found


def test_lines_of_another_layer_are_not_joined() -> None:
    body = line((0, 0), (60, 0), "A") + line((60, 0), (30, 50), "A") + line((30, 50), (0, 0), "B")
    assert "the outline is open" in refused(dxf(body))
    assert "the outline is open" in refused(dxf(body), outline="a")


def test_circles_and_ellipses() -> None:
    ellipse = "0 ELLIPSE\n8 0\n10 0\n20 0\n11 50\n21 20\n40 0.5\n41 0\n42 6.283185307179586\n"
    found = read(dxf(ellipse)).outline
    assert abs(found.area - math.pi * 0.5 * (50**2 + 20**2)) < 0.05 * found.length
    assert read(dxf(CIRCLE.format(layer=0, x=7, y=8, r=30))).outline.bounds == pytest.approx(
        (0, 0, 60, 60), abs=0.05
    )


def test_a_mirrored_arc_lies_where_it_is_seen() -> None:
    """Seen from below: its own x runs the other way."""
    arc = "0 ARC\n8 0\n10 -60\n20 20\n40 20\n50 90\n51 270\n210 0\n220 0\n230 -1\n"
    body = line((60, 40), (0, 40)) + arc + line((0, 0), (60, 0)) + line((0, 40), (0, 0))
    assert read(dxf(body)).outline.bounds == pytest.approx((0, 0, 80, 40), abs=0.05)


def test_layers_blocks_and_hidden_layers() -> None:
    block = "0 BLOCK\n8 0\n2 MAGNET\n70 0\n10 1\n20 0\n" + CIRCLE.format(layer=0, x=1, y=0, r=4)
    block += "0 ENDBLK\n8 0\n"
    insert = "0 INSERT\n8 Keep\n2 MAGNET\n10 60\n20 50\n41 2\n42 1\n"
    text = "0 TEXT\n8 0\n10 0\n20 0\n40 5\n1 hello\n"
    fold = line((10, 50), (110, 50), "FOLDS")
    data = dxf(BOX + insert + text + fold, blocks=block)
    drawing = read(data, outline="cut", keep_outs="keep", folds="folds")
    (zone,) = drawing.keep_outs
    assert zone.name == "MAGNET"
    assert zone.area.bounds == pytest.approx((42, 26, 58, 34), abs=0.05)
    assert drawing.folds[0].start == pytest.approx((0, 30))
    assert drawing.ignored == "not used: 1 text"


def test_splines() -> None:
    """Clamped, degree 3, four control points: a Bezier curve."""
    control = [(0, 0), (0, 60), (80, 60), (80, 0)]
    tags = "0 SPLINE\n100 AcDbEntity\n8 0\n100 AcDbSpline\n70 8\n71 3\n72 8\n73 4\n" + "".join(
        f"40 {knot}\n" for knot in (0, 0, 0, 0, 1, 1, 1, 1)
    )
    tags += "".join(f"10 {x}\n20 {y}\n30 0\n" for x, y in control)
    found = read(dxf(tags + line((80, 0), (0, 0)))).outline
    assert abs(found.area - 0.6 * 80 * 60) < 0.05 * found.length


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "file: the file is no DXF drawing"),
        (b"rubbish", "the file is no DXF drawing"),
        (b"Binary DXF\r\n\x1a\x00\x00", "is a binary DXF file"),
        (dxf(BOX)[:-40], "breaks off before its end"),
        (dxf(""), "file: the drawing holds no lines"),
        (dxf(CIRCLE.format(layer=0, x=0, y=0, r="nan")), "file: "),
        (dxf(BOX.replace("110.0", "nan")), "file: "),
        (dxf(BOX.replace("110.0", "1e300")), "file: "),
        (dxf(line((0, 0), (50, 0))), "the outline is open"),
        (dxf(polyline([(0, 0), (50, 50), (50, 0), (0, 50)])), "touches itself at (25.0, 25.0)"),
        (dxf(BOX, insunits=6), "a panel is at most 5000 mm across: is the unit right?"),
        (
            dxf(polyline([(0, 0), (250, 0), (250, 200), (0, 200)]), insunits=6),
            "the outline is 250,000 by 200,000 mm",
        ),
    ],
)
def test_refused(data: bytes, says: str) -> None:
    with pytest.raises(Refusal) as caught:
        read_drawing("a.dxf", data, Wanted())
    assert says in f"{caught.value.key}: {caught.value.says}"

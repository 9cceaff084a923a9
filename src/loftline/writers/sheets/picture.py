"""A sheet as an SVG file, for a plotter or a copy shop that wants one."""

from __future__ import annotations

from svgwrite import Drawing

from loftline.geometry import rings
from loftline.values import Floats, Ints
from loftline.writers.sheets.ink import WHITE, Curves, Ink, Mark, Shape, Sheet, Words, lines
from loftline.writers.svg.marks import FONT, Element, box, group, num, path, safe_text, words
from loftline.writers.svg.sheet import text_of


def draw_sheet(sheet: Sheet) -> str:
    """Draw one sheet.

    Args:
        sheet: as it is laid out.

    Returns:
        The text of an SVG file, full size in mm; the same sheet gives the same text.
    """
    width, height = (num(side) for side in sheet.size)
    drawing = Drawing(
        size=(f"{width}mm", f"{height}mm"),
        viewBox=f"0 0 {width} {height}",
        font_family=FONT,
        role="img",
        debug=False,
    )
    drawing.set_desc(title=safe_text(sheet.title))
    drawing.add(box((0, 0), *sheet.size, fill=WHITE))
    for mark in sheet.marks:
        drawing.add(_element(mark, sheet.size[1]))
    return text_of(drawing)


def _element(mark: Mark, height: float) -> Element:
    match mark:
        case Curves():
            return path(_data(mark.points, mark.starts, height), **_look(mark.ink))
        case Shape():
            curves = lines(rings(mark.area), Ink())
            data = _data(curves.points, curves.starts, height)
            return path(data, fill=mark.fill, fill_rule="evenodd")
        case Words():
            return _words(mark, height)


def _look(ink: Ink) -> dict[str, str]:
    look = {"fill": "none", "stroke": ink.colour, "stroke_width": num(ink.width)}
    if ink.dashes:
        look["stroke_dasharray"] = " ".join(num(dash) for dash in ink.dashes)
    return look | {"stroke_linejoin": "round"}


def _words(mark: Words, height: float) -> Element:
    x, y = mark.at[0], height - mark.at[1]
    look = {"fill": mark.colour, "textLength": num(mark.width)}
    if mark.bold:
        look["font_weight"] = "bold"
    text = words(mark.text, (x, y), mark.size, **look)
    if not mark.turned:
        return text
    turned = group(transform=f"rotate(-90,{num(x)},{num(y)})")
    turned.add(text)
    return turned


def _data(points: Floats, starts: Ints, height: float) -> str:
    """Path data to a hundredth of a millimetre, y down."""
    pen = ["L"] * len(points)
    for start in starts[:-1].tolist():
        pen[start] = "M"
    places = zip(pen, points[:, 0].tolist(), (height - points[:, 1]).tolist(), strict=True)
    return "".join(f"{sign}{num(x)} {num(y)}" for sign, x, y in places)

"""Values of the project file that are lists: points, outlines, angles."""

from __future__ import annotations

from typing import Any, Final, cast

from loftline.project.faults import Refused, Slip
from loftline.project.leaves import LENGTH_TEXT, Leaf, length, read_list
from loftline.project.limits import LARGEST_MM, MOST_HOLES, MOST_POINTS
from loftline.trade.hoops import field_names, named_field
from loftline.units import Unit, parse_angle, show

_HOOP_TEXT: Final = r"^\s*\d{2,4}\s*[x\u00d7]\s*\d{2,4}\s*(mm)?\s*$"
_MOST_TOLD: Final = 10  # bad points of one outline


def directions() -> Leaf:
    """One angle or a list of one to three, degrees; no two of one direction."""

    def read(value: object, _units: Unit) -> tuple[float, ...]:
        if not isinstance(value, list | tuple):
            return (_angle(value),)
        found: list[float] = []
        slips: list[Slip] = []
        for i, item in enumerate(read_list(value, 1, 3, "angles")):
            try:
                angle = _angle(item)
            except ValueError as error:
                slips.append(Slip((i,), str(error)))
                continue
            for other in found:
                apart = abs(angle - other) % 180
                if min(apart, 180 - apart) < 1:
                    says = f"found {show(item)}; lines at {other:g} run the same way: "
                    slips.append(Slip((i,), says + "angles should be at least 1 degree apart"))
                    break
            found.append(angle)
        if slips:
            raise Refused(slips)
        return tuple(found)

    one: dict[str, object] = {
        "anyOf": [
            {"type": "number", "minimum": -360, "maximum": 360},
            {"type": "string", "maxLength": 60, "pattern": LENGTH_TEXT["pattern"]},
        ]
    }
    many = {"type": "array", "items": one, "minItems": 1, "maxItems": 3}
    return Leaf(read, {"anyOf": [*cast("list[Any]", one["anyOf"]), many]})


def _angle(value: object) -> float:
    angle = parse_angle(value)
    if not -360 <= angle <= 360:
        raise ValueError(f"found {show(value)}; should be from -360 to 360 degrees")
    return angle + 0.0


def pair(of: Leaf, noun: str) -> Leaf:
    """Two values of one kind, such as the width and height of a hoop."""

    def read(value: object, units: Unit) -> tuple[object, ...]:
        if not isinstance(value, list | tuple) or len(value) != 2:
            raise ValueError(f"found {show(value)}; should be two lengths: {noun}")
        return _each(value, units, of)

    return Leaf(read, {"type": "array", "items": of.schema, "minItems": 2, "maxItems": 2})


def hoop(least: float, largest: float) -> Leaf:
    """A width and a height, or the name of a hoop of the table."""
    sides = pair(length(least=least, most=largest), "[width, height]")

    def read(value: object, units: Unit) -> object:
        if not isinstance(value, str):
            return sides.read(value, units)
        field = named_field(value)
        if field is None:
            names = ", ".join(show(name) for name in field_names())
            raise ValueError(f"found {show(value)}; should be [width, height], or one of {names}")
        return field

    name = {"type": "string", "maxLength": 20, "pattern": _HOOP_TEXT}
    return Leaf(read, {"anyOf": [sides.schema, name]})


def sizes(one: Leaf, *, most: int) -> Leaf:
    """A list of widths and heights, no two of one size."""

    def read(value: object, units: Unit) -> tuple[object, ...]:
        found = _each(read_list(value, 1, most, "sizes"), units, one)
        again = [i for i in range(len(found)) if found[i] in found[:i]]
        if again:
            raise Refused([Slip((i,), "found one size twice; name it once") for i in again])
        return found

    return Leaf(read, {"type": "array", "items": one.schema, "minItems": 1, "maxItems": most})


def one_or_two(of: Leaf, noun: str) -> Leaf:
    """One value, or a list of two."""

    def read(value: object, units: Unit) -> object:
        if not isinstance(value, list | tuple):
            return of.read(value, units)
        if len(value) != 2:
            raise ValueError(f"found {show(value)}; should be one of the {noun}, or two in a list")
        return _each(value, units, of)

    two = {"type": "array", "items": of.schema, "minItems": 2, "maxItems": 2}
    return Leaf(read, {"anyOf": [of.schema, two]})


def corners() -> Leaf:
    """A closed outline: three or more ``[x, y]``."""

    def read(value: object, units: Unit) -> tuple[object, ...]:
        return _each(read_list(value, 3, MOST_POINTS, "points"), units, POINT)

    return Leaf(
        read,
        {"type": "array", "items": POINT.schema, "minItems": 3, "maxItems": MOST_POINTS},
    )


def hole_list() -> Leaf:
    """Outlines of holes."""
    one = corners()

    def read(value: object, units: Unit) -> tuple[object, ...]:
        return _each(read_list(value, 0, MOST_HOLES, "holes"), units, one)

    return Leaf(read, {"type": "array", "items": one.schema, "maxItems": MOST_HOLES})


COORDINATE: Final = length(least=-LARGEST_MM)
POINT: Final = pair(COORDINATE, "[x, y]")


def _each(values: list[object] | tuple[object, ...], units: Unit, leaf: Leaf) -> tuple[object, ...]:
    """All values read by one leaf; the first few faults of a long list are enough."""
    found: list[object] = []
    slips: list[Slip] = []
    for i, value in enumerate(values):
        try:
            found.append(leaf.read(value, units))
        except Refused as refused:
            slips.extend(Slip((i, *slip.where), slip.says) for slip in refused.slips)
        except ValueError as error:
            slips.append(Slip((i,), str(error)))
        if len(slips) >= _MOST_TOLD:
            break
    if slips:
        raise Refused(slips)
    return tuple(found)

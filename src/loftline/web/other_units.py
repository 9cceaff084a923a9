"""A project file's lengths in another unit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, TypeAlias

from loftline.project import json_schema
from loftline.units import Unit, parse_length
from loftline.web.forms import ROOT, Form, forms_of

Tables: TypeAlias = Mapping[str, object]

_LENGTHS: Final = {"length", "pair", "points", "rings", "lengths"}
_PLACES: Final = {"place", "start"}
_OF_PLACES: Final = {"distance", "every", "at"}
_FINEST: Final[Mapping[Unit, int]] = {"mm": 2, "cm": 3, "in": 4}
"""Decimals: a hundredth of a millimetre, or finer."""


def in_units(data: Tables, unit: Unit) -> Tables:
    """The same bag with its bare numbers in another unit.

    Args:
        data: tables of a project file; left as they are.
        unit: of bare numbers from now on. Texts carry their own and stay.

    >>> dict(in_units({"panel": {"width": 254, "height": "5 cm"}}, "in")["panel"])
    {'width': 10, 'height': '5 cm'}
    """
    share = parse_length(1, _unit_of(data)) / parse_length(1, unit)
    forms = forms_of(json_schema())
    return {**_table(data, ROOT, forms, _Scale(share, _FINEST[unit])), "units": unit}


def _unit_of(data: Tables) -> Unit:
    match data.get("units"):
        case "cm":
            return "cm"
        case "in":
            return "in"
        case _:
            return "mm"


class _Scale:
    """Lengths, alone or in lists, times as much."""

    def __init__(self, share: float, places: int) -> None:
        self.share, self.places = share, places

    def __call__(self, value: object) -> object:
        match value:
            case bool():
                return value
            case int() | float():
                told = round(value * self.share, self.places)
                return int(told) if told == int(told) else told
            case list():
                return [self(item) for item in value]
            case _:
                return value


def _table(
    table: Tables, model: str, forms: Mapping[str, list[Form]], scale: _Scale
) -> dict[str, object]:
    rows = {str(row["key"]): row for row in forms[model]}
    new: dict[str, object] = {}
    for key, value in table.items():
        row = rows.get(key, {})
        kind, of = row.get("kind"), str(row.get("of"))
        if kind in _LENGTHS:
            new[key] = scale(value)
        elif kind in _PLACES:
            new[key] = _place(value, scale)
        elif kind in {"table", "mate"} and isinstance(value, Mapping):
            new[key] = _table(value, of, forms, scale)
        elif kind == "tables" and isinstance(value, list):
            new[key] = [
                _table(item, of, forms, scale) if isinstance(item, Mapping) else item
                for item in value
            ]
        else:
            new[key] = value
    return new


def _place(value: object, scale: _Scale) -> object:
    """A place, or one measured from an edge."""
    if isinstance(value, Mapping):
        return {key: scale(v) if key in _OF_PLACES else v for key, v in value.items()}
    return scale(value)

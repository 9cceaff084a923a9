"""Changes to the tables of a project file, as the page asks for them.

Tables are never changed in place: what a change does not touch is shared between the old and
the new, so that many steps of undo cost little and long lists of points are never copied.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final, Literal, TypeAlias, cast, get_args

from loftline.units import Unit
from loftline.web.other_units import in_units

Tables: TypeAlias = Mapping[str, object]
Step: TypeAlias = str | int
Op: TypeAlias = Literal["set", "remove", "add", "insert", "move", "units"]

MOST_EDITS: Final = 120
DEEPEST: Final = 6
LONGEST_KEY: Final = 60
LONGEST_TEXT: Final = 2000
DEEPEST_VALUE: Final = 4
EMPTIED: Final[Mapping[str, object]] = {"cutting": {}, "mate": True}
"""What stays of a table when its last key goes: these say something without any."""


class BadEdit(ValueError):  # noqa: N818 - what the page sent, in words
    """A change that makes no sense."""


def apply(data: Tables, edits: object) -> Tables:
    """The tables after some changes.

    Args:
        data: tables of a project file; left as they are.
        edits: a list of ``{"op": "set", "path": ["panel", "width"], "value": 250}``; ``remove``
            has no value, ``add`` puts the value at the end of a list, which is made if need be,
            ``insert`` puts it before a place of a list, ``move`` takes what stands at a place of
            a list to the place of that list that is its value, ``units`` gives all lengths in
            another unit.

    Raises:
        BadEdit: where a change does not fit.

    >>> dict(apply({"copies": 1}, [{"op": "set", "path": ["copies"], "value": 12}]))
    {'copies': 12}
    """
    if not isinstance(edits, list) or len(edits) > MOST_EDITS:
        raise BadEdit("changes should be a list, not too long")
    for edit in edits:
        if not isinstance(edit, Mapping):
            raise BadEdit("a change should be a table")
        path = _path(edit.get("path"))
        op = edit.get("op")
        if op not in get_args(Op):
            raise BadEdit("a change sets, removes, adds, inserts or moves, or is of the unit")
        value = None if op == "remove" else _value(edit.get("value"), DEEPEST_VALUE)
        if op == "units":
            data = in_units(data, _unit(value))
            continue
        data = cast("Tables", _changed(data, path, cast("Op", op), value))
    return data


def _unit(value: object) -> Unit:
    if value not in get_args(Unit):
        raise BadEdit("a unit is mm, cm or in")
    return cast("Unit", value)


def _path(path: object) -> tuple[Step, ...]:
    if not isinstance(path, list) or not 0 < len(path) <= DEEPEST:
        raise BadEdit("a change needs a path of keys")
    for step in path:
        key = isinstance(step, str) and 0 < len(step) <= LONGEST_KEY
        place = isinstance(step, int) and not isinstance(step, bool) and 0 <= step < 10**6
        if not (key or place):
            raise BadEdit("a path holds keys and places in lists")
    return tuple(path)


def _value(value: object, deep: int) -> object:
    """A value that TOML can hold."""
    match value:
        case bool():
            return value
        case int() if abs(value) < 2**53:
            return value
        case float() if math.isfinite(value):
            return value
        case str() if len(value) <= LONGEST_TEXT:
            return value
        case list() if deep > 0:
            return [_value(item, deep - 1) for item in value]
        case dict() if deep > 0 and all(0 < len(key) <= LONGEST_KEY for key in value):
            return {key: _value(item, deep - 1) for key, item in value.items()}
        case _:
            raise BadEdit("that value has no place in a project file")


def _changed(place: object, path: Sequence[Step], op: Op, value: object) -> object:
    """A copy of a table or list with what stands at a path changed."""
    step, rest = path[0], path[1:]
    in_list = not rest and op in {"insert", "move"}
    if isinstance(place, Mapping) and isinstance(step, str) and not in_list:
        table: dict[str, Any] = dict(place)
        if op == "add" and not rest:
            table[step] = [*_list(table.get(step, [])), value]
        elif rest:
            table[step] = _changed(table.get(step, {}), rest, op, value)
            if op == "remove" and table[step] in ({}, []):
                if step in EMPTIED:
                    table[step] = EMPTIED[step]
                else:
                    del table[step]
        elif op == "remove":
            table.pop(step, None)
        else:
            table[step] = value
        return table
    if isinstance(place, list) and isinstance(step, int) and step < len(place):
        if not rest and op != "set":
            return _relisted(place, step, op, value)
        new = _changed(place[step], rest, op, value) if rest else value
        return [*place[:step], new, *place[step + 1 :]]
    raise BadEdit("there is no such place in the project")


def _relisted(entries: list[object], at: int, op: Op, value: object) -> list[object]:
    """A list without what stands at a place, with something before it, or in another order."""
    rest = [*entries[:at], *entries[at + 1 :]]
    match op, value:
        case "remove", _:
            return rest
        case "insert", _:
            return [*entries[:at], value, *entries[at:]]
        case "move", int() if not isinstance(value, bool) and 0 <= value <= len(rest):
            return [*rest[:value], entries[at], *rest[value:]]
        case _:
            raise BadEdit("there is no such place in that list")


def _list(value: object) -> list[object]:
    if not isinstance(value, list):
        raise BadEdit("that is no list")
    return value

"""What may be written in each table of a project file, for the fields of the page.

Taken from the schema of the project file, so that a new key has its field without more ado;
labels and hints stand in the page's own catalogue.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from loftline.project import PATTERN_KEYS, json_schema
from loftline.project.dart_table import WAYS
from loftline.project.fold_tables import OWN_FOLDS
from loftline.project.rules import KEEP_OUT_KEYS, PANEL_KEYS
from loftline.project.size_table import GROWS

Form = dict[str, object]

ROOT: Final = "Project"
_MODEL: Final = "#/$defs/"
_PLAIN: Final = {"boolean": "flag", "integer": "number", "number": "number", "string": "text"}


def forms() -> dict[str, list[Form]]:
    """Keys of each table, in the order of the schema: how each is asked for.

    Returns:
        By name of the table's model, a row for each key: ``key``; ``kind``, one of text, length,
        number, choice, flag, pair (of lengths), points, rings (lists of points), choices (some of
        several), words, numbers, lengths, table, tables, place, mate, start, angle; ``choices``
        and the model ``of`` a table where there are some, without the keys in ``but``; ``needed``.

    >>> next(row for row in forms()["SheetsSpec"] if row["key"] == "paper")["choices"]
    ['a4', 'letter', 'one sheet']
    """
    return forms_of(json_schema())


def forms_of(schema: Mapping[str, Any]) -> dict[str, list[Form]]:
    """The same, of a schema that is there already."""
    models: dict[str, Mapping[str, Any]] = {ROOT: schema, **schema["$defs"]}
    return {
        name: [
            _row(name, key, entry, model.get("required", ()))
            for key, entry in model["properties"].items()
            if "not" not in entry
        ]
        for name, model in models.items()
    }


def _row(model: str, key: str, entry: Mapping[str, Any], required: object) -> Form:
    found: Form = {"key": key, **(_SPECIAL.get((model, key)) or _kind(entry))}
    if isinstance(required, list) and key in required:
        found["needed"] = True
    return found


_SPECIAL: Final[Mapping[tuple[str, str], Form]] = {
    ("HardwareSpec", "at"): {"kind": "place", "row": True},
    ("KeepOutSpec", "at"): {"kind": "place"},
    ("RegionSpec", "at"): {"kind": "place"},
    ("MateSpec", "at"): {"kind": "place"},
    ("HardwareSpec", "mate"): {"kind": "mate", "of": "MateSpec"},
    ("FillSpec", "start_at"): {"kind": "start"},
    ("FillSpec", "angle"): {"kind": "numbers"},
    ("EdgePlace", "from"): {"kind": "words"},
    ("EdgePlace", "distance"): {"kind": "lengths"},
}
"""What may be written in more than one way, and has a field of its own."""


def _kind(entry: Mapping[str, Any]) -> Form:
    """How a key is asked for, by what the schema says of it."""
    options = [o for o in entry.get("anyOf", (entry,)) if o.get("type") != "null"]
    types = {option.get("type") for option in options}
    first = options[0]
    if types == {"number", "string"}:
        return {"kind": "length"}
    if "$ref" in first:
        found: Form = {"kind": "table", "of": first["$ref"].removeprefix(_MODEL)}
        but = [key for key, may in first.get("properties", {}).items() if may is False]
        return found | ({"but": but} if but else {})
    if "enum" in first:
        return {"kind": "choice", "choices": list(first["enum"])}
    if "items" in first:
        return _listed(first)
    return {"kind": _PLAIN[first["type"]]}


def _listed(entry: Mapping[str, Any]) -> Form:
    """How a list is asked for."""
    inner = _kind(entry["items"])
    match inner["kind"]:
        case "table":
            return {"kind": "tables", "of": inner["of"]}
        case "length" if entry.get("maxItems") == 2 and entry.get("minItems") == 2:
            return {"kind": "pair"}
        case "choice" if entry.get("uniqueItems"):
            return {"kind": "choices", "choices": inner["choices"]}
        case "choice":
            return {"kind": "words", "choices": inner["choices"]}
        case kind:
            lists = {"text": "words", "length": "lengths", "number": "numbers", "pair": "points"}
            return {"kind": lists.get(str(kind), "rings")}


def belongs() -> Form:
    """Keys that belong to some tables of a kind only, by what else stands in them."""
    shapes = {shape: [*needed, *may] for shape, (needed, may) in PANEL_KEYS.items()}
    return {
        "panel": shapes,
        "drawn_zone": {s: [*needed, *may] for s, (needed, may) in KEEP_OUT_KEYS.items()},
        "dart": {way: [*needed, *may] for way, (needed, may) in WAYS.items()},
        "size": {shape: list(keys) for shape, keys in GROWS.items()},
        "fill": {pattern: list(keys) for pattern, keys in PATTERN_KEYS.items()},
        "own_folds": {shape: list(names) for shape, names in OWN_FOLDS.items()},
    }

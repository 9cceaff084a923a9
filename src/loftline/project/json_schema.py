"""JSON Schema (draft 2020-12) of the project file, for editors and other programs.

It says all that a schema can: every key with its meaning and default, bounds, the keys of
each shape. A document that the reader takes is always valid; sizes that clash with one
another are found by the reader alone.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, Final

from pydantic.fields import FieldInfo

from loftline.project import rules
from loftline.project.costs_table import CostsSpec
from loftline.project.cutting_tables import ClothWidthSpec, CuttingSpec, PocketSpec
from loftline.project.dart_table import WAYS, DartSpec
from loftline.project.drawn_table import DrawnSpec
from loftline.project.edge_row import EdgeRow
from loftline.project.fill_table import PATTERN_KEYS, FillSpec
from loftline.project.fold_tables import FOLDABLE, OWN_FOLDS, OWN_PARTS, FoldSpec
from loftline.project.not_yet import LATER_KEYS
from loftline.project.panel_tables import (
    EdgePlace,
    HardwareSpec,
    KeepOutSpec,
    MateSpec,
    PanelSpec,
)
from loftline.project.region_table import RegionSpec
from loftline.project.schema import Project
from loftline.project.sewing_tables import (
    FootSpec,
    LayerSpec,
    LayersSpec,
    MachineSpec,
    QuiltingSpec,
    SpoolSpec,
    ThreadSpec,
)
from loftline.project.size_table import SizeSpec
from loftline.project.stitch_keys import PER_INCH
from loftline.project.table import Table

Schema = dict[str, Any]

_MODELS: Final[tuple[type[Table], ...]] = (
    ClothWidthSpec,
    CostsSpec,
    CuttingSpec,
    DartSpec,
    DrawnSpec,
    EdgePlace,
    EdgeRow,
    FillSpec,
    FoldSpec,
    FootSpec,
    HardwareSpec,
    KeepOutSpec,
    LayerSpec,
    LayersSpec,
    MachineSpec,
    MateSpec,
    PanelSpec,
    PocketSpec,
    QuiltingSpec,
    RegionSpec,
    SizeSpec,
    SpoolSpec,
    ThreadSpec,
)


def json_schema() -> Schema:
    """The schema of a project file, in the keys of the file.

    >>> json_schema()["$defs"]["FillSpec"]["properties"]["spacing"]["default"]
    '12 mm'
    """
    schema = Project.model_json_schema()
    defs: dict[str, Schema] = schema.pop("$defs")
    defs["EdgePlace"] = EdgePlace.model_json_schema()
    defs["EdgeRow"] = EdgeRow.model_json_schema()
    defs["MateSpec"] = MateSpec.model_json_schema()
    for model in _MODELS:
        _describe(defs[model.__name__], model)
    _describe(schema, Project)
    _name_optional(defs)
    _one_way_only(defs)
    _by_shape(defs["PanelSpec"], rules.PANEL_KEYS)
    _by_shape(defs["KeepOutSpec"], rules.KEEP_OUT_KEYS)
    _by_shape(defs["RegionSpec"], rules.KEEP_OUT_KEYS)
    _by_fold(schema)
    _by_fold_name(defs)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": "Project file",
        "$defs": dict(sorted(defs.items())),
    }


def _describe(schema: Schema, model: type[Table]) -> None:
    """Meaning, unit and default of each key; keys of a later version are refused."""
    properties: dict[str, Schema] = schema["properties"]
    for name, field in model.model_fields.items():
        entry = properties[field.alias or name]
        entry.pop("title", None)
        entry.pop("default", None)
        is_length = _is_length(entry)
        description = f"{field.description}"
        if is_length or (name != "angles" and _of_lengths(entry)):
            description += "; bare numbers are in `units`"
        default = _default(name, field, in_mm=is_length)
        if default is not None:
            entry["default"] = default
            description += f"; default {json.dumps(default)}"
        entry["description"] = description
    for (table, key), says in LATER_KEYS.items():
        if table == model.table:
            properties[key] = {"not": {}, "description": f"not yet: {says}"}


def _is_length(entry: Schema) -> bool:
    kinds = {option.get("type") for option in entry.get("anyOf", ())}
    return kinds == {"number", "string"}


def _of_lengths(entry: Schema) -> bool:
    """Whether it is a list of lengths, however deep, or may be one."""
    options = [entry, *entry.get("anyOf", ())]
    inner = [option["items"] for option in options if "items" in option]
    return any(_is_length(items) or _of_lengths(items) for items in inner)


def _default(name: str, field: FieldInfo, *, in_mm: bool) -> object:
    """Default as it may be written in the file, ``None`` where there is none to name."""
    value = field.default
    if field.is_required() or value is None or value == () or isinstance(value, Table):
        return None
    if in_mm:
        return f"{value:g} mm"
    if isinstance(value, tuple):
        value = value[0] if name == "angles" else list(value)
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _name_optional(defs: dict[str, Schema]) -> None:
    """Names and kinds that the reader fills in need not be written."""
    optional = ("HardwareSpec", "name"), ("KeepOutSpec", "name"), ("DartSpec", "name")
    for model, key in (*optional, ("LayerSpec", "kind")):
        defs[model]["required"] = [k for k in defs[model].get("required", ()) if k != key]


def _one_way_only(defs: dict[str, Schema]) -> None:
    """Things that are said one way or the other."""
    per_inch = {
        "type": "number",
        "minimum": 2.11,
        "maximum": 31.76,
        "description": "stitch length the other way; give this or stitch_length",
    }
    both = {"required": ["stitch_length", PER_INCH]}
    for model in ("QuiltingSpec", "FillSpec"):
        defs[model]["properties"][PER_INCH] = per_inch
    defs["QuiltingSpec"]["not"] = both
    defs["SpoolSpec"]["not"] = {"required": ["tex", "weight"]}
    defs["PanelSpec"]["not"] = {"required": ["corner_object", "corner_radius"]}
    keys = {key for needed, allowed in WAYS.values() for key in (*needed, *allowed)}
    defs["DartSpec"]["oneOf"] = [
        {
            "required": [first, *needed],
            "properties": dict.fromkeys(sorted(keys - {*needed, *allowed}), False),
        }
        for first, (needed, allowed) in WAYS.items()
    ]
    defs["HardwareSpec"]["dependentRequired"] = {"width": ["height"], "height": ["width"]}
    defs["HardwareSpec"]["not"] = {"required": ["diameter", "width"]}
    defs["HardwareSpec"]["properties"]["mate"]["anyOf"][1] = {"$ref": "#/$defs/MateSpec"}
    defs["MateSpec"]["not"] = {"required": ["at", "on"]}
    for model in ("HardwareSpec", "KeepOutSpec", "MateSpec"):
        defs[model]["properties"]["at"]["anyOf"][1] = {"$ref": "#/$defs/EdgePlace"}
    defs["FillSpec"]["properties"]["start_at"]["anyOf"][2] = {"$ref": "#/$defs/EdgePlace"}
    defs["HardwareSpec"]["properties"]["at"]["anyOf"].append({"$ref": "#/$defs/EdgeRow"})
    defs["EdgeRow"]["anyOf"] = [{"required": ["every"]}, {"required": ["count"]}]
    defs["HardwareSpec"]["properties"]["clearance"]["anyOf"][0]["minimum"] = 0.125  # inches
    foam = defs["LayersSpec"]["properties"]["foam"]
    foam["properties"] = {"keeps_holes": False, "heat": False}
    by_hand = {"properties": {"guided": {"const": "hand"}}, "required": ["guided"]}
    defs["MachineSpec"]["if"] = {"not": by_hand}
    defs["MachineSpec"]["then"] = {"properties": {"foot_kind": False, "throat": False}}
    defs["QuiltingSpec"]["allOf"] = [
        _when("order", ["from an edge"], {"required": ["from_edge"]}),
    ]
    every = {key for own in PATTERN_KEYS.values() for key in own}
    defs["FillSpec"]["allOf"] = [
        _when("pattern", ["channel", "motif"], {"properties": {"angle": {"maxItems": 1}}}),
        _when("pattern", ["motif"], {"properties": {"spacing": False}, "required": ["motif"]}),
        *(
            _when(
                "pattern", [pattern], {"properties": dict.fromkeys(sorted(every - {*own}), False)}
            )
            for pattern, own in PATTERN_KEYS.items()
        ),
    ]
    defs["FillSpec"]["not"] = {"anyOf": [{"required": ["setting", "angle"]}, both]}
    defs["FillSpec"]["dependentRequired"] = {
        "wave_height": ["wave_length"],
        "wave_length": ["wave_height"],
    }


def _by_shape(schema: Schema, table: rules.ShapeKeys) -> None:
    every = {key for needed, allowed in table.values() for key in needed + allowed}
    schema["allOf"] = [
        _when(
            "shape",
            [shape],
            {
                "required": list(needed),
                "properties": dict.fromkeys(sorted(every - {*needed, *allowed}), False),
            },
        )
        for shape, (needed, allowed) in table.items()
    ]


def _by_fold(schema: Schema) -> None:
    """Only a folded panel has other halves and parts."""
    flat = [shape for shape in rules.PANEL_KEYS if shape not in {*OWN_PARTS, "file"}]
    whole = {"properties": {"part": {"pattern": r"^\s*all\s*$"}}}
    alone = {"properties": {"mate": {"const": False}}}
    panel_shape = {
        "properties": {"shape": {"enum": flat}, "folds": False},
        "required": ["shape"],
    }
    schema["if"] = {"properties": {"panel": panel_shape}, "required": ["panel"]}
    schema["then"] = {"properties": {"fills": {"items": whole}, "hardware": {"items": alone}}}
    rest: Schema = {}
    for shape, own in OWN_PARTS.items():
        named = {"properties": {"part": {"pattern": rf"^\s*(all|{'|'.join(own)})\s*$"}}}
        this = {"properties": {"shape": {"const": shape}}, "required": ["shape"]}
        rest = {
            "if": {"properties": {"panel": this}, "required": ["panel"]},
            "then": {"properties": {"fills": {"items": named}}},
            **({"else": rest} if rest else {}),
        }
    schema["else"] = rest


def _by_fold_name(defs: dict[str, Schema]) -> None:
    """A fold has a place, or the name of one that the shape brings."""
    defs["FoldSpec"]["dependentRequired"] = {"from": ["to"], "to": ["from"]}
    placed = {"properties": {"folds": {"items": {"required": ["from"]}}}}
    defs["PanelSpec"]["allOf"].append(_when("shape", FOLDABLE, placed))
    for shape, own in OWN_FOLDS.items():
        words = "|".join(name.replace(" ", r"\s+") for name in own)
        entry = {
            "properties": {"name": {"pattern": rf"^\s*({words})\s*$"}, "from": False, "to": False}
        }
        named = {"properties": {"folds": {"items": entry}}}
        defs["PanelSpec"]["allOf"].append(_when("shape", [shape], named))


def _when(key: str, values: Iterable[str], then: Schema) -> Schema:
    test = {"properties": {key: {"enum": list(values)}}, "required": [key]}
    return {"if": test, "then": then}

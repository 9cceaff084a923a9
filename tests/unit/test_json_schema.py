"""The JSON Schema of the project file."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest

from loftline.project import TEMPLATE_SHAPES, json_schema, template

SCHEMA = json_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
RECTANGLE = {"shape": "rectangle", "width": 300, "height": "7 1/2 in"}
POUCH = {"shape": "folded pouch", "width": 250, "body": 150, "flap": 110}
EYELET = {"kind": "eyelet", "at": [1, 2]}
CHANNEL = {"pattern": "channel"}


def document(**keys: Any) -> dict[str, Any]:  # noqa: ANN401 - any key of the file
    return {"panel": RECTANGLE, "fills": [CHANNEL], **keys}


def described(schema: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every key of every table with its entry."""
    for table in (schema, *schema["$defs"].values()):
        yield from table["properties"].items()


def test_it_is_a_schema_of_the_draft_it_names() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_every_key_is_described() -> None:
    keys = list(described(SCHEMA))
    assert len(keys) > 70
    assert [key for key, entry in keys if len(entry.get("description", "")) < 5] == []


def test_keys_are_those_of_the_file() -> None:
    keys = {key for key, _ in described(SCHEMA)}
    assert {"from", "angle", "stitches_per_inch", "seams", "sizes"} <= keys
    assert not {"from_", "angles"} & keys


def test_lengths_name_their_unit_and_default() -> None:
    overhang = SCHEMA["$defs"]["PanelSpec"]["properties"]["overhang"]
    assert overhang["default"] == "25 mm"
    assert "bare numbers are in `units`" in overhang["description"]
    angle = SCHEMA["$defs"]["FillSpec"]["properties"]["angle"]
    assert angle["default"] == 45
    assert "units" not in angle["description"]
    VALIDATOR.validate(document(panel={**RECTANGLE, "overhang": overhang["default"]}))


def test_callers_cannot_change_it() -> None:
    json_schema()["$defs"]["PanelSpec"]["properties"]["width"]["anyOf"].clear()
    assert json_schema() == SCHEMA


@pytest.mark.parametrize("shape", TEMPLATE_SHAPES)
def test_templates_are_valid(shape: str) -> None:
    VALIDATOR.validate(tomllib.loads(template(shape)))


@pytest.mark.parametrize(
    "data",
    [
        document(),
        document(units="in", copies=12),
        document(panel=POUCH, fills=[{"pattern": "grid", "part": "flap", "angle": [30, 150]}]),
        document(fills=[{"pattern": "grid", "angle": "45 deg"}, {"pattern": "meander"}]),
        document(quilting={"stitches_per_inch": 8}),
        document(hardware=[{"kind": "eyelet", "at": [1, "2 in"]}]),
        document(panel=POUCH, hardware=[{"kind": "eyelet", "at": [1, 2], "mate": True}]),
        document(panel=POUCH, hardware=[{**EYELET, "mate": {"on": "front"}}]),
        document(panel=POUCH, hardware=[{**EYELET, "mate": {"at": [75, "3 in"]}}]),
        document(hardware=[{"kind": "eyelet", "at": {"from": "top edge", "distance": '3/8"'}}]),
        document(keep_outs=[{"shape": "polygon", "points": [[0, 0], [9, 0], [9, 9]]}]),
        document(layers={"outer": {"heat": True}, "foam": {"thickness": 3.2}}),
        document(machine={"hoop": [130, 180], "formats": ["dst", "svg"]}),
    ],
)
def test_sound_documents_are_valid(data: dict[str, Any]) -> None:
    VALIDATOR.validate(data)


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"panel": RECTANGLE},
        document(colour=1),
        document(format=2),
        document(units="inch"),
        document(seams=[{"passes": 2}]),
        document(sizes=[{"copies": 2}]),
        document(fills=[]),
        document(fills=[CHANNEL] * 51),
        document(fills=[{"pattern": "chanel"}]),
        document(fills=[{"pattern": "motif"}]),
        document(fills=[{"pattern": "meander", "angle": 45}]),
        document(fills=[{"pattern": "channel", "angle": [1, 2]}]),
        document(fills=[{"pattern": "channel", "part": "flap"}]),
        document(fills=[{"pattern": "channel", "spacing": 0}]),
        document(fills=[{"pattern": "channel", "spacing": "1,5 cm"}]),
        document(panel={"shape": "rectangle", "width": 300}),
        document(panel={**RECTANGLE, "body": 300}),
        document(panel={**RECTANGLE, "file": "x.svg"}),
        document(panel={**RECTANGLE, "width": -1}),
        document(panel={"shape": "file"}),
        document(hardware=[{"kind": "eyelet", "at": [1]}]),
        document(hardware=[{"kind": "eyelet", "at": [1, 1], "mate": True}]),
        document(panel=POUCH, hardware=[{**EYELET, "mate": {"on": "front", "at": [1, 2]}}]),
        document(panel=POUCH, hardware=[{**EYELET, "mate": {"side": "front"}}]),
        document(hardware=[{"kind": "eyelet", "at": [1, 1], "diameter": 9, "width": 9}]),
        document(hardware=[{"kind": "eyelet", "at": [1, 1], "width": 9}]),
        document(hardware=[{"kind": "eyelet", "at": [1, 1], "clearance": 0.1}]),
        document(keep_outs=[{"shape": "circle", "at": [1, 1], "width": 9}]),
        document(quilting={"stitch_length": 3, "stitches_per_inch": 8}),
        document(quilting={"sewn_from": "below"}),
        document(thread={"needle": {"tex": 3, "weight": "40 wt"}}),
        document(layers={"foam": {"heat": True}}),
        document(layers={"contents": -3}),
        document(machine={"throat": 3}),
        document(machine={"formats": ["dxt"]}),
    ],
)
def test_faulty_documents_are_not(data: dict[str, Any]) -> None:
    assert not VALIDATOR.is_valid(data)

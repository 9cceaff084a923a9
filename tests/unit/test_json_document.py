from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest
import shapely

from loftline.panel import make_panel as panel_of
from loftline.project import parse_project
from loftline.values import KIND_WORDS, Hooping, Part, Plan
from loftline.writers.json_document import json_document
from loftline.writers.json_schema import document_schema
from support_plans import make_plan, pouch_panel, pouch_plan, tiny_plan

PAGE = Path(__file__).parents[2] / "docs" / "json-document.md"

ORDER = {
    "": "format name panel keep_outs lines stitches hoopings report findings",
    "panel": "outline holes parts folds darts",
    "keep_outs": "name outline clearance sits mate_of tolerance draw_in reach",
    "stitches": "x y run kind",
    "hoopings": "files origin first last field",
    "report": "stitches runs cuts turns length needle_thread bobbin_thread minutes cost least_cost "
    "optimal copies versions",
    "findings": "code severity where message remedy",
}
"""The fixed keys, in their fixed order."""

POUCH = {
    "shape": "folded pouch",
    "width": 250,
    "body": 150,
    "flap": 110,
    "flap_inset": 0,
    "seam_allowance": 8,
}

GROWING = {"panel", "hoopings", "report"}
"""Tables that may gain keys, behind the fixed ones."""


def written(plan: Plan, files: dict[str, str] | None = None) -> Any:  # noqa: ANN401 - any document
    return json.loads(json_document(plan, [files or {}]))


def folded() -> Plan:
    """A pouch with a pair of magnets, its folds set and not."""
    folds = [{"name": "lower fold", "closed_to": "travel", "gap": 6, "crease": True}]
    magnet = {"name": "magnet", "kind": "sew-in magnet", "at": [75, 378], "mate": True}
    rivet = {"name": "rivet", "kind": "rivet", "at": [30, 200]}
    document = {
        "format": 1,
        "name": "Spoke pouch",
        "panel": POUCH | {"folds": folds},
        "hardware": [magnet, rivet],
        "fills": [{"pattern": "channel"}],
    }
    return make_plan(panel_of(parse_project(document)))


@pytest.mark.parametrize("plan", [pouch_plan(), tiny_plan(), folded()])
def test_the_document_keeps_to_its_schema(plan: Plan) -> None:
    jsonschema.Draft202012Validator.check_schema(document_schema())
    jsonschema.validate(written(plan, {"dst": "a.dst"}), document_schema())


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("format",), 2),
        (("keep_outs", 0, "sits"), "beside"),
        (("stitches", "kind", 0), "jump"),
        (("stitches", "run", 0), -1),
        (("hoopings", 0, "field"), [130]),
        (("lines", 0), [[1, 2]]),
        (("report", "length", "nap"), 1),
        (("panel", "edges"), []),
        (("panel", "closed_size"), [250]),
        (("panel", "fold_settings", 0, "closed_to"), "all"),
        (("panel", "closed", "side"), {}),
        (("panel", "hardware", 0, "fitted"), "never"),
    ],
)
def test_the_schema_refuses_what_is_not_so(path: tuple[str | int, ...], value: object) -> None:
    document = inner = written(folded() if path[0] == "panel" else pouch_plan())
    for key in path[:-1]:
        inner = inner[key]
    inner[path[-1]] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(document, document_schema())


def test_keys_stand_in_their_fixed_order() -> None:
    document = written(pouch_plan())
    for where, keys in ORDER.items():
        table = document[where] if where else document
        table = table[0] if isinstance(table, list) else table
        fixed = keys.split()
        assert list(table)[: len(fixed)] == fixed
        assert where in GROWING or len(table) == len(fixed)


def test_every_key_is_explained_in_the_docs() -> None:
    page = PAGE.read_text(encoding="utf-8")
    told = set(re.findall(r"`([a-z_]+)`", page))
    assert set(_keys(document_schema())) - set(KIND_WORDS) <= told


def _keys(schema: object) -> list[str]:
    if isinstance(schema, list):
        return [key for inner in schema for key in _keys(inner)]
    if not isinstance(schema, dict):
        return []
    own = list(schema["properties"]) if isinstance(schema.get("properties"), dict) else []
    return own + [key for inner in schema.values() for key in _keys(inner)]


def test_geometry_is_that_of_the_plan_to_a_hundredth_of_a_millimetre() -> None:
    plan = pouch_plan()
    document = written(plan)
    for zone, told in zip(plan.panel.keep_outs, document["keep_outs"], strict=True):
        assert shapely.hausdorff_distance(shapely.Polygon(told["outline"]), zone.outline) < 0.0075
        assert told["mate_of"] == zone.mate_of
    for ring in [document["panel"]["outline"], *document["panel"]["parts"].values()]:
        assert ring[0] == ring[-1]
    assert list(document["panel"]["parts"]) == ["front", "back", "flap"]
    assert document["panel"]["folds"][0] == [[0, 150], [250, 150]]
    lines = np.concatenate([np.array(line) for line in document["lines"]])
    assert np.abs(lines - plan.lines.points).max() <= 0.005 + 1e-9
    assert [len(line) for line in document["lines"]] == np.diff(plan.lines.starts).tolist()


def test_the_closed_bag_is_told() -> None:
    document = written(folded())
    panel = document["panel"]
    assert panel["closed_size"] == [250, 150]
    assert {name: face["size"] for name, face in panel["closed"].items()} == {
        "front": [234, 150],
        "back": [234, 150],
    }
    front, back = panel["closed"]["front"]["parts"], panel["closed"]["back"]["parts"]
    assert [(part["part"], part["up"]) for part in front] == [
        ("front", [0, -1]),
        ("flap", [0, -1]),
    ]
    assert [(part["part"], part["up"]) for part in back] == [("back", [0, 1])]
    # by hand: 234 wide; the flap hangs 102 of 150 mm down once its edge is sewn
    seen = [
        shapely.area([shapely.Polygon(rings[0], rings[1:]) for rings in part["seen"]]).sum()
        for part in front
    ]
    assert seen == pytest.approx([234 * 48, 234 * 102])


def test_without_folds_there_is_no_closed_bag_to_tell() -> None:
    panel = written(tiny_plan())["panel"]
    assert (panel["closed_size"], panel["closed"], panel["fold_settings"]) == (None, {}, [])


def test_settings_of_folds_are_told_in_the_order_of_the_folds() -> None:
    panel = written(folded())["panel"]
    assert len(panel["folds"]) == 2
    assert panel["fold_settings"] == [
        {"name": "lower fold", "closed_to": "travel", "gap": 6, "crease": True, "bends": "flat"},
        {"name": "upper fold", "closed_to": "nothing", "gap": 0, "crease": False, "bends": "flat"},
    ]


def test_all_hardware_is_told_with_its_distances() -> None:
    document = written(folded())
    told = [{k: v for k, v in p.items() if k != "outline"} for p in document["panel"]["hardware"]]
    magnet = {
        "kind": "sew-in magnet",
        "sits": "inside",
        "fitted": "before quilting",
        "face_up": "marked face up",
    }
    assert told == [
        magnet
        | {"name": "magnet", "at": [75, 378], "mate_of": None}
        | {"from_cut": 32, "from_finished": 24},
        magnet
        | {"name": "magnet, other half", "at": [75, 78], "mate_of": "magnet"}
        | {"from_cut": 75, "from_finished": 67},
        {
            "name": "rivet",
            "kind": "rivet",
            "at": [30, 200],
            "sits": "above",
            "fitted": "after lining",
            "mate_of": None,
            "face_up": None,
            "from_cut": 30,
            "from_finished": 22,
        },
    ]


def test_the_run_off_is_told() -> None:
    plan = folded()
    plan = replace(plan, panel=replace(plan.panel, run_off=4.256))
    assert written(plan)["panel"]["run_off"] == 4.26


def test_needle_points_are_told_exactly() -> None:
    plan = make_plan(pouch_panel(), lines_per_run=6)
    stitches = written(plan)["stitches"]
    assert np.array_equal(np.rint(np.array(stitches["x"]) * 10), plan.sewn.x)
    assert np.array_equal(np.rint(np.array(stitches["y"]) * 10), plan.sewn.y)
    assert stitches["run"] == plan.sewn.run.tolist()
    assert stitches["kind"] == [KIND_WORDS[kind] for kind in plan.sewn.kind]


def test_the_bytes_are_compact_and_hold_no_minus_zero() -> None:
    text = json_document(pouch_plan(), [{}]).decode("utf-8")
    compact = json.dumps(json.loads(text), ensure_ascii=False, separators=(",", ":"))
    assert text == compact
    assert not re.search(r"-0(\.0)?[,\]]", text)


def test_thread_and_seams_are_told_in_millimetres() -> None:
    plan = pouch_plan()
    report = written(plan)["report"]
    assert report["needle_thread"]["expected"] == round(plan.report.needle_thread.expected, 2)
    assert report["length"]["line"] == round(plan.report.length["line"], 2)


def test_origin_and_field_belong_to_the_hooping() -> None:
    plan = tiny_plan()
    plan = replace(
        plan,
        hoopings=(Hooping(field=(130.0, 180.0)),),
        sewn=replace(plan.sewn, origin=(300, 205)),
    )
    (hooping,) = written(plan, {"dst": "key-fob.dst"})["hoopings"]
    assert hooping == {
        "files": {"dst": "key-fob.dst"},
        "origin": [30.0, 20.5],
        "first": 0,
        "last": len(plan.sewn) - 1,
        "field": [130.0, 180.0],
        "turn": 0,
        "hoop": None,
        "cell": None,
        "marks": [],
        "misplacing": None,
    }


def test_a_part_in_two_pieces_is_told_piece_by_piece() -> None:
    plan = tiny_plan()
    area = shapely.MultiPolygon([shapely.box(0, 0, 10, 40), shapely.box(50, 0, 60, 40)])
    plan = replace(plan, panel=replace(plan.panel, parts=(Part(name="sides", area=area),)))
    assert list(written(plan)["panel"]["parts"]) == ["sides", "sides (2)"]


def test_names_in_any_script_survive() -> None:
    plan = tiny_plan()
    name = 'Tasche "ä" <袋> \\ \u2028'
    named = replace(plan, project=plan.project.model_copy(update={"name": name}))
    assert written(named)["name"] == name


def test_what_is_no_number_is_never_written() -> None:
    plan = tiny_plan()
    broken = replace(plan, report=replace(plan.report, minutes=math.nan))
    with pytest.raises(ValueError, match="Out of range float"):
        json_document(broken, [{}])

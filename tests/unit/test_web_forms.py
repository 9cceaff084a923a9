"""What the page asks for, as the schema of the project file says it; and other units."""

from __future__ import annotations

import re
import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from loftline.project import Project, json_schema, parse_project
from loftline.project.table import Table
from loftline.web.edits import apply
from loftline.web.forms import forms
from loftline.web.other_units import in_units

EXAMPLES = sorted((Path(__file__).parents[2] / "docs" / "examples").glob("*.toml"))
KINDS = {
    *("text", "length", "number", "choice", "flag", "pair", "points", "rings", "choices"),
    *("words", "numbers", "lengths", "table", "tables", "place", "mate", "start"),
}


def row(model: str, key: str) -> dict[str, object]:
    return next(row for row in forms()[model] if row["key"] == key)


def test_every_key_of_the_schema_has_a_row() -> None:
    schema, rows = json_schema(), forms()
    missing = [
        f"{model}.{key}"
        for model, table in {"Project": schema, **schema["$defs"]}.items()
        for key in table["properties"]
        if key not in {row["key"] for row in rows[model]}
    ]
    assert missing == []


def test_every_row_is_asked_for_in_a_way_that_the_page_knows() -> None:
    assert {str(row["kind"]) for rows in forms().values() for row in rows} <= KINDS


@pytest.mark.parametrize(
    ("model", "key", "kind"),
    [
        ("PanelSpec", "width", "length"),
        ("PanelSpec", "points", "points"),
        ("PanelSpec", "holes", "rings"),
        ("PanelSpec", "folds", "tables"),
        ("FoldSpec", "from", "pair"),
        ("SheetsSpec", "include", "choices"),
        ("SeamSpec", "through", "words"),
        ("SwatchSpec", "needle", "lengths"),
        ("HardwareSpec", "mate", "mate"),
        ("Project", "cutting", "table"),
    ],
)
def test_a_key_is_asked_for_by_what_may_be_written(model: str, key: str, kind: str) -> None:
    assert row(model, key)["kind"] == kind


def test_keys_that_a_table_refuses_are_named() -> None:
    assert row("LayersSpec", "foam")["but"] == ["keeps_holes", "heat"]


def test_every_list_of_a_page_has_a_word_for_one_of_it() -> None:
    words = resources.files("loftline.web").joinpath("static/words.js").read_text("utf-8")
    lists = {str(r["key"]) for rows in forms().values() for r in rows if r["kind"] == "tables"}
    lists -= {"sizes"}  # its entries have letters
    named = set(re.findall(r"(?m)^  (\w+)_one: ", words))
    assert sorted(lists - named) == []


def lengths(value: object) -> object:
    """What a project holds, to a hundredth; without its unit and what a drawing holds."""
    if isinstance(value, Table):
        return {
            name: lengths(getattr(value, name))
            for name in type(value).model_fields
            if name not in {"units", "drawn"}
        }
    if isinstance(value, tuple | list):
        return [lengths(item) for item in value]
    return round(value, 1) if isinstance(value, float) else value


@pytest.mark.parametrize("unit", ["mm", "cm", "in"])
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_bag_is_the_same_in_another_unit(path: Path, unit: Any) -> None:  # noqa: ANN401
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    files = {"spanner-roll.svg": (path.parent / "spanner-roll.svg").read_bytes()}

    def read(tables: Any) -> Project:  # noqa: ANN401 - a project file
        return parse_project(tables, files=files)

    assert lengths(read(in_units(data, unit))) == lengths(read(data))


def test_a_text_keeps_its_own_unit() -> None:
    new = apply({"panel": {"width": "38 mm"}}, [{"op": "units", "path": ["units"], "value": "cm"}])
    assert new == {"panel": {"width": "38 mm"}, "units": "cm"}

"""Promises of the project file over random input."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

import jsonschema
import pytest
from hypothesis import example, given, settings, strategies as st

from loftline.errors import ProjectError
from loftline.project import TEMPLATE_SHAPES, Project, json_schema, parse_project, template
from loftline.units import Unit, format_length, parse_length, show

SCHEMA = jsonschema.Draft202012Validator(json_schema())
MAKERS_UNITS: tuple[Unit, ...] = ("mm", "cm", "m", "in", "yd")

lengths_mm = st.floats(-5000, 5000, allow_nan=False)


@given(mm=lengths_mm, unit=st.sampled_from(MAKERS_UNITS))
def test_a_length_that_is_shown_reads_back(mm: float, unit: Unit) -> None:
    """To half the last decimal that is shown."""
    text = format_length(mm, unit)
    step = parse_length(0.1 if unit == "mm" else 0.01, unit)
    assert abs(parse_length(text) - mm) <= step / 2 * (1 + 1e-9)
    assert abs(parse_length(format_length(mm, unit, 12)) - mm) <= 1e-8


@given(st.integers(0, 400), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_mixed_fractions_are_exact(whole: int, over: int, under: int) -> None:
    over %= under
    expected = (whole * under + over) * 25.4 / under
    for text in (f"{whole} {over}/{under} in", f'{whole}-{over}/{under}"'):
        assert parse_length(text) == pytest.approx(expected, rel=1e-15)


@given(st.text() | st.floats() | st.integers() | st.none() | st.binary() | st.booleans())
@example("1\N{FRACTION NUMERATOR ONE} in")
@example("\N{VULGAR FRACTION ZERO THIRDS} in")
def test_parse_length_answers_with_a_number_or_one_sentence(value: object) -> None:
    try:
        found: float | str = parse_length(value)
    except ValueError as error:
        found = str(error)
    if isinstance(found, str):
        assert found.isprintable()
        assert len(found) < 250
    else:
        assert abs(found) <= 1e12


@given(st.text())
def test_what_is_shown_can_be_printed(text: str) -> None:
    assert show(text).isprintable()
    assert show(text).encode("utf-8")


# Documents: sound ones with a few values replaced by others, sensible and senseless.

KEYS = sorted(
    {key for table in json_schema()["$defs"].values() for key in table["properties"]}
    | set(json_schema()["properties"])
)
WORDS = [
    *("rectangle", "ellipse", "folded pouch", "polygon", "circle", "file"),
    *("channel", "grid", "meander", "echo", "all", "front", "flap", "inside", "above"),
    *("before quilting", "overhang", "none", "least cost", "one way", "outer", "back"),
    *("mm", "cm", "in", "dst", "svg", "pdf", "trim", "hand", "eyelet", "40 wt", "Nm 80/2"),
    *("38 mm", "1 1/2 in", '3/8"', "1,5 cm", "0 mm", "-1 in", "45 deg", ""),
]
leaves = (
    st.sampled_from(WORDS)
    | st.integers(-5, 400)
    | st.floats()
    | st.integers()
    | st.booleans()
    | st.text(max_size=8)
    | st.none()
)
garbage = st.recursive(
    leaves,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=6), inner, max_size=5)
    ),
    max_leaves=12,
)
tables = st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=6), garbage, max_size=12)


def places(data: object, here: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Paths to every value of a document."""
    found = [here] if here else []
    if isinstance(data, dict):
        found += [path for key, value in data.items() for path in places(value, (*here, key))]
    elif isinstance(data, list):
        found += [path for i, value in enumerate(data) for path in places(value, (*here, i))]
    return found


@st.composite
def documents(draw: st.DrawFn) -> dict[str, Any]:
    """A template with up to three values replaced, removed or added."""
    data: dict[str, Any] = tomllib.loads(template(draw(st.sampled_from(TEMPLATE_SHAPES))))
    data["units"] = draw(st.sampled_from(["mm", "mm", "cm", "in"]))
    extra = {
        "hardware": [{"kind": "eyelet", "at": [40, "1 1/2 in"]}],
        "keep_outs": [{"shape": "circle", "diameter": 20, "at": [100, 90]}],
        "quilting": {"stitches_per_inch": 8},
        "fills": [{"pattern": "grid", "angle": [30, 150], "spacing": "1 in"}],
        "thread": {"needle": {"tex": 30, "metres": 450, "price": 4}},
        "layers": {"outer": {"kind": "duck", "keeps_holes": False}, "foam_to": "outline"},
        "machine": {"hoop": [130, 180], "hoop_margin": 0, "guided": "machine"},
    }
    for key in draw(st.lists(st.sampled_from(sorted(extra)), unique=True, max_size=4)):
        data[key] = copy.deepcopy(extra[key])
    for _ in range(draw(st.integers(0, 3))):
        path = draw(st.sampled_from(places(data)))
        inner: Any = data
        for step in path[:-1]:
            inner = inner[step]
        how = draw(st.sampled_from(["replace", "remove", "add"]))
        if how == "remove":
            del inner[path[-1]]
        elif how == "add" and isinstance(inner, dict):
            inner[draw(st.sampled_from(KEYS))] = draw(leaves)
        else:
            inner[path[-1]] = draw(leaves | garbage)
    return data


def answer(data: Any) -> Project | ProjectError:  # noqa: ANN401 - anything at all
    """The project, or the only exception there may be, its sentences looked at."""
    before = repr(data)
    try:
        found: Project | ProjectError = parse_project(data)
    except ProjectError as error:
        found = error
    assert repr(data) == before
    if isinstance(found, ProjectError):
        assert found.faults
        assert len(set(found.faults)) == len(found.faults)
        for fault in found.faults:
            assert str(fault).isprintable()
            assert len(fault.message) < 400
            for word in ("Input should", "pydantic", "Field required", "does not fit here"):
                assert word not in fault.message
    return found


@given(documents())
@settings(max_examples=300)
def test_what_the_reader_takes_the_schema_takes(data: dict[str, Any]) -> None:
    if isinstance(answer(data), Project):
        assert list(SCHEMA.iter_errors(data)) == []


@given(tables | garbage)
@settings(max_examples=300)
def test_garbage_is_refused_with_sentences_alone(data: Any) -> None:  # noqa: ANN401 - anything at all
    answer(data)


@given(documents(), documents())
def test_the_same_document_reads_the_same(data: dict[str, Any], other: dict[str, Any]) -> None:
    first, again = answer(data), answer(copy.deepcopy(data))
    answer(other)
    if isinstance(first, Project):
        assert first == again
    else:
        assert isinstance(again, ProjectError)
        assert first.faults == again.faults


@given(st.text(min_size=1, max_size=100))
def test_every_slug_is_a_safe_file_name(name: str) -> None:
    panel = {"shape": "ellipse", "width": 90, "height": 90}
    project = answer({"name": name, "panel": panel, "fills": [{"pattern": "grid"}]})
    if isinstance(project, Project):
        assert project.slug.strip("-") == project.slug
        assert project.slug.replace("-", "").isalnum()
        assert project.slug.isascii()
        assert 1 <= len(project.slug) <= 60

"""Files to start from: each plans as it stands, and so does all that it offers."""

from __future__ import annotations

import re
import tomllib

import pytest

import loftline
from loftline.panel.shapes import Shape, make_shape
from loftline.project import DRAWING, TEMPLATE_SHAPES, Project, parse_project, template

EVERY_SHAPE = pytest.mark.parametrize("shape", TEMPLATE_SHAPES)


def read(text: str) -> Project:
    return parse_project(tomllib.loads(text), files={"panel.svg": DRAWING.encode()})


def uncommented(text: str) -> str:
    """The template with every key put to use that rests behind a ``#``."""
    return re.sub(r"(?m)^# (?=\[|[a-z_]+ = )", "", text)


def made(project: Project) -> Shape:
    shape = make_shape(project.panel, [])
    assert shape is not None
    return shape


@EVERY_SHAPE
def test_there_is_nothing_to_look_at_in_a_template(shape: str) -> None:
    project = read(template(shape))
    assert project.panel.shape == shape
    assert [f for f in loftline.make_plan(project).findings if f.severity != "note"] == []


@EVERY_SHAPE
def test_what_a_template_offers_stops_nothing(shape: str) -> None:
    """A hoop is offered too, which may be smaller than the panel."""
    text = template(shape)
    project = read(uncommented(text))
    assert "\n# " in text
    assert project.machine.hoop == (130.0, 180.0)
    assert [k.name for k in project.keep_outs] == ["label"]
    assert project.hardware
    stops = {f.code for f in loftline.make_plan(project).findings if f.severity == "error"}
    assert stops <= {"field-exceeded"}


@EVERY_SHAPE
def test_no_remark_of_a_template_is_left_in_the_way(shape: str) -> None:
    """Taken in, a resting key stands before its remark, as the others do."""
    lines = uncommented(template(shape)).splitlines()
    assert [line for line in lines if line.startswith("# ") and " = " in line] == []


@EVERY_SHAPE
def test_a_template_names_what_its_shape_brings(shape: str) -> None:
    text = template(shape)
    brought = made(read(text))
    if shape in {"polygon", "file"}:  # what these have follows from the drawing
        return
    remarks = re.findall(
        r"(?m)^# (Parts?|Folds?|Edges to measure from): (.*)\.", text.replace(". F", ".\n# F")
    )
    told = {word[0]: tuple(names.split(", ")) for word, names in remarks}
    assert told.get("P", ()) == tuple(part.name for part in brought.parts)
    assert told.get("F", ()) == tuple(fold.name for fold in brought.folds)
    assert sorted(told["E"]) == sorted(brought.edges)


def test_a_name_with_quotation_marks_stays_what_it_is() -> None:
    name = 'The "long" \\ roll é'
    assert read(template("strap", name=name)).name == name


def test_there_is_no_template_of_other_shapes() -> None:
    with pytest.raises(ValueError, match="folded pouch"):
        template("triangle")

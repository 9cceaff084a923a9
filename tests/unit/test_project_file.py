"""Project files that read clean: values, defaults, units, templates."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from loftline.project import (
    EdgePlace,
    FillSpec,
    PanelSpec,
    Project,
    parse_project,
    read_project,
)

POUCH = """
format = 1
name = "Spoke pouch"
copies = 12
seed = 7
[panel]
shape = "folded pouch"
width = 250
body = 150
flap = 110
flap_inset = 3
corner_radius = 45
seam_allowance = 8
[[hardware]]
name = "left magnet"
kind = "sew-in magnet"
diameter = 18
at = [75, 378]
mate = true
[[hardware]]
kind = "magnetic snap"
at = { from = "flap edge", distance = "1 1/2 in" }
[[keep_outs]]
name = "label"
shape = "rectangle"
at = [125, 130]
width = 60
height = 25
clearance = 3
[[fills]]
pattern = "grid"
[[fills]]
part = "flap"
pattern = "meander"
spacing = 8
[thread]
needle = { weight = "Nm 80/2", metres = 500, price = 4.5 }
bobbin = { tex = 30 }
[layers]
outer = { kind = "waxed canvas", keeps_holes = true, heat = false }
foam = { thickness = 3.2 }
[machine]
hoop = [130, 180]
foot = { left = 6, right = 6, front = 10, back = 12 }
formats = ["dst", "svg"]
"""

SMALL = """
[panel]
shape = "rectangle"
width = 300
height = 200
[[fills]]
pattern = "channel"
"""


def read(text: str) -> Project:
    return parse_project(tomllib.loads(text))


def test_everything_said_is_read() -> None:
    project = read(POUCH)
    assert (project.name, project.slug) == ("Spoke pouch", "spoke-pouch")
    assert (project.copies, project.seed, project.units) == (12, 7, "mm")
    assert project.panel.flap_inset == 3.0
    left, snap = project.hardware
    assert (left.at, left.mate, left.clearance) == ((75.0, 378.0), True, 6.35)
    assert isinstance(snap.at, EdgePlace)
    assert (snap.at.from_, snap.at.distance) == ("flap edge", 38.1)
    assert (snap.diameter, snap.sits, snap.fitted) == (None, None, None)
    assert project.keep_outs[0].clearance == 3.0
    assert [fill.angles for fill in project.fills] == [(45.0, 135.0), ()]
    assert project.thread.needle.tex_value == 25.0
    assert project.thread.needle.metres == 500.0
    assert project.thread.bobbin.tex_value == 30.0
    assert (project.layers.outer.keeps_holes, project.layers.outer.heat) == (True, False)
    assert (project.layers.foam.kind, project.layers.foam.thickness) == ("foam", 3.2)
    assert project.machine.hoop == (130.0, 180.0)
    assert project.machine.foot is not None
    assert project.machine.foot.back == 12.0
    assert project.machine.formats == ("dst", "svg")


@pytest.mark.parametrize(
    ("named", "expected"),
    [("130 x 180", (130, 180)), ("180x130 mm", (180, 130)), ("200 \u00d7 300", (200, 300))],
)
def test_a_hoop_of_the_table_may_be_named(named: str, expected: tuple[float, float]) -> None:
    project = read(f'{SMALL}\n[machine]\nhoop = "{named}"\n')
    assert project.machine.hoop == expected
    project = read(f'{SMALL}\n[machine]\nhoops = ["{named}", [100, 100]]\n')
    assert project.machine.hoops == (expected, (100, 100))


def test_everything_but_panel_and_one_fill_has_a_default() -> None:
    project = read(SMALL)
    assert (project.format, project.copies, project.seed) == (1, 1, 0)
    assert (project.panel.seam_allowance, project.panel.overhang) == (10.0, 25.0)
    assert (project.fills[0].part, project.fills[0].angles) == ("all", (45.0,))
    assert project.fills[0].spacing == 12.0
    assert (project.quilting.stitch_length, project.quilting.edge) == (3.0, "overhang")
    assert (project.quilting.order, project.quilting.sewn_from) == ("least cost", "outer")
    assert (project.thread.waste, project.thread.needle.tex_value) == (0.15, 25.0)
    machine = project.machine
    assert (machine.stitches_per_minute, machine.longest_stitch) == (600.0, 7.0)
    assert (machine.guided, machine.at_cuts, machine.formats) == ("machine", "trim", ("dst",))


def test_inches_and_millimetres_give_the_same_project() -> None:
    mm = """
    units = "UNITS"
    [panel]
    shape = "rectangle"
    width = "304.8 mm"
    height = "19.05 cm"
    seam_allowance = "9.525 mm"
    corner_radius = "12.7 mm"
    [[hardware]]
    name = "snap"
    kind = "magnetic snap"
    diameter = "19.05 mm"
    at = ["38.1 mm", "0.1 m"]
    [[fills]]
    pattern = "channel"
    spacing = "31.75 mm"
    [quilting]
    stitch_length = "3.175 mm"
    """
    inches = """
    units = "in"
    [panel]
    shape = "rectangle"
    width = 12
    height = "7 1/2"
    seam_allowance = '3/8"'
    corner_radius = "\N{VULGAR FRACTION ONE HALF} inch"
    [[hardware]]
    name = "snap"
    kind = "magnetic snap"
    diameter = "3/4 in"
    at = [1.5, "10 cm"]
    [[fills]]
    pattern = "channel"
    spacing = "1\N{VULGAR FRACTION ONE QUARTER}\N{DOUBLE PRIME}"
    [quilting]
    stitches_per_inch = 8
    """
    assert read(mm.replace("UNITS", "in")) == read(inches)
    in_cm = read(mm.replace("UNITS", "cm")).model_dump(exclude={"units"})
    assert in_cm == read(inches).model_dump(exclude={"units"})


@pytest.mark.parametrize(
    ("pattern", "angle", "families"),
    [
        ("channel", "30", (30.0,)),
        ("channel", "[30]", (30.0,)),
        ("channel", '"30 deg"', (30.0,)),
        ("grid", "0", (0.0, 90.0)),
        ("grid", "100", (100.0, 10.0)),
        ("grid", "[30, 150]", (30.0, 150.0)),
        ("grid", "[0, 60, 120]", (0.0, 60.0, 120.0)),
    ],
)
def test_directions_of_families(pattern: str, angle: str, families: tuple[float, ...]) -> None:
    text = SMALL.replace('pattern = "channel"', f'pattern = "{pattern}"\nangle = {angle}')
    assert read(text).fills[0].angles == families


def test_names_left_out_are_made_and_differ() -> None:
    text = (
        SMALL
        + """
    [[hardware]]
    kind = "eyelet"
    at = [20, 20]
    [[hardware]]
    kind = "eyelet"
    at = [40, 20]
    [[hardware]]
    name = "keep-out 1"
    kind = "eyelet"
    at = [60, 20]
    [[keep_outs]]
    shape = "circle"
    at = [150, 100]
    diameter = 10
    """
    )
    project = read(text)
    names = [piece.name for piece in project.hardware]
    names += [zone.name for zone in project.keep_outs]
    assert names == ["eyelet 1", "eyelet 2", "keep-out 1", "keep-out 2"]


def test_the_data_handed_in_is_left_as_it_is() -> None:
    data = tomllib.loads(POUCH + "[quilting]\nstitches_per_inch = 8\n")
    parse_project(data)
    assert data == tomllib.loads(POUCH + "[quilting]\nstitches_per_inch = 8\n")


@pytest.mark.parametrize(
    ("name", "slug"),
    [
        ("Spoke pouch", "spoke-pouch"),
        ("  Täschchen Größe 2 ", "taschchen-grosse-2"),
        ("../../etc/passwd", "etc-passwd"),
        ("CON", "con-panel"),
        ("com1", "com1-panel"),
        ("\N{BLACK SCISSORS}", "panel"),
        ("a" * 100, "a" * 60),
        ("\N{HIRAGANA LETTER KA}\N{HIRAGANA LETTER BA}", "panel"),
    ],
)
def test_slugs_are_safe_file_names(name: str, slug: str) -> None:
    assert parse_project({**tomllib.loads(SMALL), "name": name}).slug == slug


def test_projects_are_frozen_and_comparable() -> None:
    project = read(SMALL)
    with pytest.raises(ValidationError, match="frozen"):
        project.copies = 3  # type: ignore[misc]
    assert project == read(SMALL)
    assert hash(project) == hash(read(SMALL))


def test_a_project_built_in_python() -> None:
    panel = PanelSpec(shape="ellipse", width=100, height=80)
    built = Project(panel=panel, fills=(FillSpec(pattern="channel", angle=(45.0,)),))
    assert built.panel is panel
    assert built == read('panel={shape="ellipse",width=100,height=80}\nfills=[{pattern="channel"}]')
    with pytest.raises(ValidationError, match="flap longer"):
        PanelSpec(shape="folded pouch", width=100, body=50, flap=60)


def test_only_the_reader_knows_the_unit_of_bare_numbers() -> None:
    data: dict[str, Any] = {"units": "in", **tomllib.loads(SMALL)}
    data["panel"] |= {"width": 12, "height": 8}
    assert parse_project(data).panel.width == 304.8
    with pytest.raises(ValidationError, match="read_project"):
        Project.model_validate(data)


@pytest.mark.parametrize("write", [str.encode, lambda text: b"\xef\xbb\xbf" + text.encode()])
def test_files_with_and_without_a_byte_order_mark(
    write: Callable[[str], bytes], tmp_path: Path
) -> None:
    path = tmp_path / "spoke.toml"
    path.write_bytes(write(POUCH))
    assert read_project(path) == read_project(str(path)) == read(POUCH)

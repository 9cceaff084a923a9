"""Faults of a project file: where, what was found, what would be right; all at once."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from loftline.errors import ProjectError
from loftline.project import parse_project
from loftline.project.limits import MOST_FAULTS

SOUND = """
[panel]
PANEL
[[fills]]
pattern = "channel"
FILL
REST
"""
RECTANGLE = 'shape = "rectangle"\nwidth = 300\nheight = 200\n'
POUCH = 'shape = "folded pouch"\nwidth = 250\nbody = 150\nflap = 110\n'
PIECE = '[[hardware]]\nname = "snap"\nkind = "magnetic snap"\nat = [100, 100]\n'
ZONE = '[[keep_outs]]\nname = "label"\nshape = "circle"\nat = [100, 100]\ndiameter = 20\n'


def faults(text: str | dict[str, Any]) -> list[tuple[str, str]]:
    """Key paths and sentences of all faults; fails when there are none."""
    data = tomllib.loads(text) if isinstance(text, str) else text
    with pytest.raises(ProjectError) as caught:
        parse_project(data)
    for fault in caught.value.faults:
        assert "\n" not in fault.message
        assert "Input should" not in fault.message
        assert "pydantic" not in fault.message
        assert len(fault.message) < 320
    return [(fault.where, fault.message) for fault in caught.value.faults]


def whole(panel: str = RECTANGLE, fill: str = "", rest: str = "") -> str:
    return SOUND.replace("PANEL", panel).replace("FILL", fill).replace("REST", rest)


def test_the_sound_files_of_these_tests_are_sound() -> None:
    for panel in (RECTANGLE, POUCH):
        parse_project(tomllib.loads(whole(panel, rest=PIECE + ZONE)))


@pytest.mark.parametrize(
    ("text", "where", "says"),
    [
        # the file itself
        ("format = 2\n" + whole(), "format", "this version reads format 1"),
        ('name = ""\n' + whole(), "name", "empty"),
        ('name = "a\\nb"\n' + whole(), "name", "on one line"),
        ("name = 3\n" + whole(), "name", "found 3"),
        ('units = "inch"\n' + whole(), "units", 'did you mean "in"'),
        ("copies = 0\n" + whole(), "copies", "from 1 to 5000"),
        ("copies = 2.0\n" + whole(), "copies", "whole number"),
        ("copies = true\n" + whole(), "copies", "found true"),
        ("seed = -1\n" + whole(), "seed", "from 0 to 4294967295"),
        ("seed = 4294967296\n" + whole(), "seed", "from 0 to 4294967295"),
        ("colour = 1\n" + whole(), "colour", "valid here: format, name"),
        ("seeed = 1\n" + whole(), "seeed", "did you mean seed?"),
        ("[panel]\n" + RECTANGLE, "fills", "is missing"),
        ("fills = []\n[panel]\n" + RECTANGLE, "fills", "at least 1"),
        ('fills = [{ pattern = "grid" }]', "panel", "is missing"),
        ('panel = "round"\nfills = [{ pattern = "grid" }]', "panel", "should be a table"),
        ("fills = [1]\n[panel]\n" + RECTANGLE, "fills[0]", "should be a table"),
        ("fills = 1\n[panel]\n" + RECTANGLE, "fills", "should be a list of fills"),
        # costs, orders, sewing by hand
        (whole(rest="[costs]\ncut = 0"), "costs.cut", "at least 1 mm"),
        (whole(rest='[costs]\ncut = "4 parsecs"'), "costs.cut", "4 parsecs"),
        (whole(rest="[costs]\nedge = -0.5"), "costs.edge", "at least 0"),
        (whole(rest="[costs]\ncut_insid = 9"), "costs.cut_insid", "did you mean cut_inside?"),
        (whole(rest='[quilting]\norder = "one wey"'), "quilting.order", '"one way"'),
        (whole(rest='[quilting]\norder = "from an edge"'), "quilting.from_edge", "is missing"),
        (whole(rest='[machine]\nheld = "glued"'), "machine.held", '"floated" or "clamped"'),
        (whole(rest="[machine]\nhoop = [90, 90]\nhoops = [[90, 99]]"), "machine.hoop", "not both"),
        (whole(rest="[machine]\nhoops = [[90, 99], [90, 99]]"), "machine.hoops[1]", "twice"),
        (
            whole(rest="[machine]\nhoop = [90, 90]\nhoop_room = { left = 50, right = 50 }"),
            "machine.hoop_room",
            "leaves nothing of a hoop 90 mm across",
        ),
        (whole(rest='[machine]\nhoop_turning = "all"'), "machine.hoop_turning", '"all alike"'),
        (whole(rest='[machine]\nguided = "hand"\nthroat = 0'), "machine.throat", "more than 0"),
        (
            whole(rest='[machine]\nfoot_kind = "walking foot"'),
            "machine.foot_kind",
            'guided = "hand"',
        ),
        (
            whole(rest='[machine]\nguided = "hand"\nfoot_kind = "walking"'),
            "machine.foot_kind",
            '"walking foot"',
        ),
        (whole(rest='[machine]\nguide_bar = "front"'), "machine.guide_bar", '"left" or "right"'),
        # panel
        (whole("width = 3\nheight = 4"), "panel.shape", "is missing"),
        (whole('shape = "round"'), "panel.shape", '"rectangle"'),
        (whole('shape = "elipse"\nwidth = 9\nheight = 9'), "panel.shape", '"ellipse"'),
        (whole('shape = "rectangle"\nwidth = 30'), "panel.height", "needs width and height"),
        (whole('shape = "polygon"'), "panel.points", "is missing"),
        (whole(RECTANGLE + "body = 9"), "panel.body", "does not belong to a rectangle"),
        (whole(RECTANGLE + "heigth = 9"), "panel.heigth", "did you mean height?"),
        (whole(RECTANGLE + "corner_radius = 101"), "panel.corner_radius", "(100 mm)"),
        (whole(RECTANGLE + "seam_allowance = 100"), "panel.seam_allowance", "200 mm across"),
        (whole(RECTANGLE + "overhang = -1"), "panel.overhang", "at least 0"),
        (whole(RECTANGLE.replace("300", "-300")), "panel.width", "found -300"),
        (whole(RECTANGLE.replace("300", "0")), "panel.width", "more than 0"),
        (whole(RECTANGLE.replace("300", "5001")), "panel.width", "at most 5000 mm"),
        (whole(RECTANGLE.replace("300", "nan")), "panel.width", "finite"),
        (whole(RECTANGLE.replace("300", "-inf")), "panel.width", "finite"),
        (whole(RECTANGLE.replace("300", "1e999")), "panel.width", "finite"),
        (whole(RECTANGLE.replace("300", "9" * 4000)), "panel.width", "beyond all measure"),
        (whole(RECTANGLE.replace("300", "true")), "panel.width", "found true"),
        (whole(RECTANGLE.replace("300", '"1,5 m"')), "panel.width", "with a point"),
        (whole(RECTANGLE.replace("300", "1999-01-01")), "panel.width", "found a date"),
        (whole(POUCH.replace("110", "160")), "panel.flap", "longer than the body"),
        (whole(POUCH + "flap_inset = 125"), "panel.flap_inset", "half the width"),
        (whole(POUCH + "corner_radius = 111"), "panel.corner_radius", "110 mm"),
        (whole(POUCH + "flap_inset=30\ncorner_radius=96"), "panel.corner_radius", "95 mm"),
        (whole(POUCH + "height = 300"), "panel.height", "does not belong"),
        (whole('shape = "polygon"\npoints = [[0, 0], [9, 0]]'), "panel.points", "at least 3"),
        (
            whole('shape = "polygon"\npoints = [[0, 0], [9, "x"], [9, 9]]'),
            "panel.points[1][1]",
            "should be a length",
        ),
        (
            whole('shape = "polygon"\npoints = [[0, 0], [9, 0, 1], [9, 9]]'),
            "panel.points[1]",
            "two lengths",
        ),
        (
            whole('shape="polygon"\npoints=[[0,0],[9,0],[9,9]]\nholes=[[[1,1]]]'),
            "panel.holes[0]",
            "at least 3",
        ),
        # hardware
        (whole(rest=PIECE + "clearance = 3"), "hardware[0].clearance", "under 3.2 mm (1/8 in)"),
        (whole(rest=PIECE + "clearance = -3"), "hardware[0].clearance", "at least 0"),
        (whole(rest=PIECE + "mate = true"), "hardware[0].mate", "folded pouch"),
        (whole(rest=PIECE + 'mate = "yes"'), "hardware[0].mate", "true or false"),
        (whole(rest=PIECE + "diameter = 9\nwidth = 9"), "hardware[0].width", "not both"),
        (whole(rest=PIECE + "width = 9"), "hardware[0].height", "is missing"),
        (whole(rest=PIECE + 'sits = "under"'), "hardware[0].sits", '"inside", "above" or "below"'),
        (whole(rest=PIECE + 'fitted = "before"'), "hardware[0].fitted", '"before quilting"'),
        (whole(rest=PIECE.replace("[100, 100]", "[100]")), "hardware[0].at", "[x, y]"),
        (whole(rest=PIECE.replace("[100, 100]", "{}")), "hardware[0].at.from", "is missing"),
        (
            whole(rest=PIECE.replace("[100, 100]", '{from="flap edge",distance=-1}')),
            "hardware[0].at.distance",
            "at least 0",
        ),
        (whole(rest='[[hardware]]\nkind = "eyelet"'), "hardware[0].at", "is missing"),
        (whole(rest="[[hardware]]\nat = [1, 1]"), "hardware[0].kind", "is missing"),
        (
            whole(rest='[[hardware]]\nkind = "magnetic snapp"\nat = [1, 1]'),
            "hardware[0].kind",
            'did you mean "magnetic snap"?',
        ),
        (
            whole(rest='[[hardware]]\nkind = "cowbell"\nat = [1, 1]'),
            "hardware[0].kind",
            "give its diameter",
        ),
        (whole(rest=PIECE + PIECE), "hardware[1].name", "hardware[0] too"),
        (whole(rest=PIECE + ZONE.replace("label", "snap")), "keep_outs[0].name", "hardware[0]"),
        # keep-outs
        (whole(rest=ZONE + "clearance = -0.1"), "keep_outs[0].clearance", "at least 0"),
        (whole(rest=ZONE + "width = 9"), "keep_outs[0].width", "does not belong to a circle"),
        (
            whole(rest=ZONE.replace("circle", "polygon")),
            "keep_outs[0].points",
            "a polygon needs points",
        ),
        (whole(rest=ZONE.replace("circle", "square")), "keep_outs[0].shape", '"rectangle"'),
        # fills
        (whole(fill="spacing = 0"), "fills[0].spacing", "at least 1 mm"),
        (whole(fill='spacing = "0.001 mm"'), "fills[0].spacing", "at least 1 mm"),
        (whole(fill="spacing = 1001"), "fills[0].spacing", "at most 1000 mm"),
        (whole(fill="angle = [1, 2]"), "fills[0].angle", "channels have one angle"),
        (whole(fill="angle = 400"), "fills[0].angle", "from -360 to 360"),
        (whole(fill="angle = [0, 90, 180]"), "fills[0].angle[2]", "lines at 0 run the same way"),
        (whole(fill="angle = [0, 179.5]"), "fills[0].angle[1]", "at least 1 degree apart"),
        (whole(fill="angle = [0, 45, 90, 135]"), "fills[0].angle", "at most 3"),
        (whole(fill="angel = 45"), "fills[0].angel", "did you mean angle?"),
        (whole(fill='part = "front"'), "fills[0].part", 'only "all"'),
        (whole(POUCH, fill='part = "flapp"'), "fills[0].part", 'did you mean "flap"?'),
        (whole().replace('"channel"', '"chanel"'), "fills[0].pattern", 'did you mean "channel"?'),
        (whole().replace('"channel"', "3"), "fills[0].pattern", '"rays" or "motif"'),
        (whole().replace('"channel"', '"meander"\nangle = 3'), "fills[0].angle", "no direction"),
        # quilting
        (whole(rest="[quilting]\nstitch_length = 0.7"), "quilting.stitch_length", "0.8 mm"),
        (whole(rest="[quilting]\nstitch_length = 8"), "quilting.stitch_length", "7 mm"),
        (
            whole(rest="[quilting]\nstitch_length = 3\nstitches_per_inch = 8"),
            "quilting.stitches_per_inch",
            "not both",
        ),
        (whole(rest="[quilting]\nstitches_per_inch = 50"), "quilting.stitches_per_inch", "31.75"),
        (whole(rest="[quilting]\nstitches_per_inch = 3"), "quilting.stitches_per_inch", "8.5 mm"),
        (whole(rest='[quilting]\nstitches_per_inch = "8"'), "quilting.stitches_per_inch", "number"),
        (whole(rest='[quilting]\nedge = "seam"'), "quilting.edge", '"seam allowance"'),
        # thread
        (
            whole(rest='[thread]\nneedle = { tex = 25, weight = "40 wt" }'),
            "thread.needle.weight",
            "not both",
        ),
        (whole(rest='[thread]\nbobbin = { weight = "50" }'), "thread.bobbin.weight", "say which"),
        (whole(rest="[thread]\nbobbin = { weight = 50 }"), "thread.bobbin.weight", "40 wt"),
        (whole(rest="[thread]\nbobbin = { tex = 0 }"), "thread.bobbin.tex", "at least 1"),
        (
            whole(rest="[thread]\nbobbin = { metres = 1500 }"),
            "thread.bobbin.metres",
            "at most 1000",
        ),
        (whole(rest="[thread]\nwaste = 15"), "thread.waste", "0.15 for 15 %"),
        # layers
        (
            whole(rest="[layers]\nfoam = { heat = true }"),
            "layers.foam.heat",
            "put it in layers.outer",
        ),
        (whole(rest='[layers]\nfoam_to = "seam"'), "layers.foam_to", '"seam line"'),
        (whole(rest="[layers]\nsewn_thickness = 0"), "layers.sewn_thickness", "more than 0"),
        # machine
        (whole(rest='[machine]\nguided = "robot"'), "machine.guided", '"machine" or "hand"'),
        (whole(rest="[machine]\nhoop = [130]"), "machine.hoop", "[width, height]"),
        (whole(rest='[machine]\nhoop = "5 x 7"'), "machine.hoop", '"130 x 180"'),
        (
            whole(rest='[machine]\nhoop = "100 x 100"\nhoop_margin = 50'),
            "machine.hoop_margin",
            "100",
        ),
        (
            whole(rest='[machine]\nhoops = ["130 x 180", [130, 180]]'),
            "machine.hoops[1]",
            "twice",
        ),
        (whole(rest="[machine]\nhoop = [130, 5]"), "machine.hoop[1]", "at least 20 mm"),
        (whole(rest="[machine]\nhoop = [99, 99]\nhoop_margin = 50"), "machine.hoop_margin", "99"),
        (whole(rest="[machine]\nfoot = { left = 3 }"), "machine.foot.back", "is missing"),
        (whole(rest="[machine]\nlongest_stitch = 12.1"), "machine.longest_stitch", "at most 12 mm"),
        (whole(rest="[machine]\nlongest_stitch = 2"), "machine.longest_stitch", "3 mm"),
        (whole(rest='[machine]\nformats = ["dts"]'), "machine.formats[0]", 'did you mean "dst"?'),
        (whole(rest='[machine]\nformats = ["dst", "dst"]'), "machine.formats[1]", "twice"),
        (whole(rest="[machine]\nformats = []"), "machine.formats", "at least 1"),
        (whole(rest='[machine]\nformats = "dst"'), "machine.formats", "a list"),
    ],
)
def test_a_fault_is_told_with_its_place(text: str, where: str, says: str) -> None:
    found = dict(faults(text))
    assert where in found
    assert says in found[where]


def test_a_panel_has_two_sides_to_be_sewn_from() -> None:
    ((found, says),) = faults(whole(rest='[quilting]\nsewn_from = "bottom"'))
    assert found == "quilting.sewn_from"
    assert '"outer"' in says
    assert '"back"' in says


def test_all_faults_at_once_in_file_order() -> None:
    text = """
    colour = "red"
    copies = 0
    [machine]
    longest_stitch = 99
    [[keep_outs]]
    name = "label"
    shape = "circle"
    clearance = -1
    [panel]
    width = -3
    shape = "folded pouch"
    flap = 100
    [[fills]]
    pattern = "grid"
    [[fills]]
    spacing = "x"
    """
    assert [where for where, _ in faults(text)] == [
        "colour",
        "copies",
        "machine.longest_stitch",
        "keep_outs[0].at",
        "keep_outs[0].diameter",
        "keep_outs[0].clearance",
        "panel.body",
        "panel.width",
        "fills[1].pattern",
        "fills[1].spacing",
    ]


def test_rules_are_checked_beside_bad_values() -> None:
    """A bad value must not hide that two other keys clash."""
    panel = POUCH.replace("110", "160") + 'overhang = "wide"\ncolour = 1\n'
    rest = PIECE + 'sits = 3\nmate = 1\n[[hardware]]\nname="snap"\nkind = "eyelet"\nat = [1]\n'
    found = {where for where, _ in faults(whole(panel, rest=rest))}
    assert found == {
        *("panel.flap", "panel.overhang", "panel.colour"),
        *("hardware[0].sits", "hardware[0].mate", "hardware[1].name", "hardware[1].at"),
    }


def test_one_key_has_one_fault_for_one_mistake() -> None:
    assert [where for where, _ in faults(whole(POUCH.replace("110", "1e7")))] == ["panel.flap"]
    assert [where for where, _ in faults(whole(rest=PIECE + "clearance = -3"))] == [
        "hardware[0].clearance"
    ]


def test_a_named_entry_is_called_by_its_name() -> None:
    ((_, says),) = faults(whole(rest=ZONE + "clearance = -1"))
    assert 'entry "label"' in says


def test_bounds_are_told_in_the_makers_unit() -> None:
    ((_, says),) = faults('units = "in"\n' + whole(RECTANGLE.replace("300", "999")).strip())[:1]
    assert "196.85 in" in says


@pytest.mark.parametrize("clearance", ["3.175", '"1/8 in"', "3.2", '"1/4 in"'])
def test_an_eighth_of_an_inch_is_enough(clearance: str) -> None:
    data = tomllib.loads(whole(rest=PIECE + f"clearance = {clearance}"))
    assert parse_project(data).hardware[0].clearance >= 3.175


@pytest.mark.parametrize(
    ("fill", "words"),
    [
        ({"pattern": "channel", "spacing": 1}, "8.5 million stitches"),
        ({"pattern": "grid", "spacing": 2}, "6.38 million crossings"),
        ({"pattern": "meander", "spacing": 3}, "2.83 million crossings or bends"),
    ],
)
def test_work_is_capped_before_it_is_done(fill: dict[str, Any], words: str) -> None:
    panel = {"shape": "rectangle", "width": 5000, "height": 5000}
    ((where, says),) = faults({"panel": panel, "fills": [fill]})
    assert where == "fills[0].spacing"
    assert words in says
    assert "3 million stitches and 500000 crossings" in says
    # the spacing it names is enough
    wider = float(says.split("wider, ")[1].split(" mm")[0])
    parse_project({"panel": panel, "fills": [{**fill, "spacing": wider}]})


def test_many_fills_share_the_cap() -> None:
    panel = {"shape": "rectangle", "width": 2400, "height": 2400}
    fills = [{"pattern": "grid", "spacing": 6}] * 3
    assert [where for where, _ in faults({"panel": panel, "fills": fills})] == ["fills[2].spacing"]


def test_the_largest_panel_of_the_benchmarks_is_let_through() -> None:
    panel = {"shape": "rectangle", "width": 2400, "height": 2400}
    for fill in ({"pattern": "grid"}, {"pattern": "meander", "spacing": 8}):
        parse_project({"panel": panel, "fills": [fill]})


@pytest.mark.parametrize(
    ("key", "value", "where", "says"),
    [
        ("hardware", [{"kind": "eyelet", "at": [1, 1]}] * 501, "hardware", "at most 500"),
        ("keep_outs", [3] * 1_000_000, "keep_outs", "at most 500"),
        ("fills", [{"pattern": "channel"}] * 51, "fills", "at most 50"),
    ],
)
def test_long_lists_are_refused_by_their_length(
    key: str, value: list[object], where: str, says: str
) -> None:
    data = {"panel": {"shape": "rectangle", "width": 99, "height": 99}}
    found = dict(faults({**data, "fills": [{"pattern": "channel"}], key: value}))
    assert says in found[where]


def test_a_million_points_are_refused_by_their_number() -> None:
    panel = {"shape": "polygon", "points": [[1, 1]] * 1_000_000}
    found = dict(faults({"panel": panel, "fills": [{"pattern": "channel"}]}))
    assert "at most 10000" in found["panel.points"]


def test_points_of_all_outlines_are_capped_together() -> None:
    ring = [[0, 0], [9, 0], [9, 9]] * 3000
    panel = {"shape": "polygon", "points": ring, "holes": [ring] * 5}
    assert "54000 points together" in faults({"panel": panel, "fills": [{"pattern": "grid"}]})[0][1]


def test_more_faults_than_anybody_reads_are_counted() -> None:
    data = {"panel": {}, "fills": [{"pattern": i, "spacing": -1} for i in range(50)]}
    found = faults(data)
    assert len(found) == MOST_FAULTS + 1
    assert found[-1] == ("", f"and {101 - MOST_FAULTS} more faults; mend these first")


def test_many_unknown_keys_are_counted() -> None:
    data = tomllib.loads(whole()) | {f"k{i}": i for i in range(1000)}
    found = faults(data)
    assert len(found) == 20
    assert "980 more unknown keys" in found[-1][1]


@pytest.mark.parametrize("data", [None, [], "panel", 3])
def test_what_is_no_table_is_refused(data: Any) -> None:  # noqa: ANN401 - wrong on purpose
    with pytest.raises(ProjectError, match="should be a table"):
        parse_project(data)


def test_odd_keys_are_shown_safely() -> None:
    data: dict[Any, Any] = {3: 1, "\x1b[31m": 2, "\ud800": 3, "x" * 10_000: 4, (): 5}
    found = faults(tomllib.loads(whole()) | data)
    assert len(found) == 5
    assert all(where.isprintable() and len(where) < 60 for where, _ in found)

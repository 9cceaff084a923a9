"""What the page is told of a plan: places of findings, the sew-through, the binary answer."""

from __future__ import annotations

import itertools
import json
import re
import struct
import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from loftline.cli.commands import demo_text
from loftline.errors import Finding, does_nothing
from loftline.plan import Plan, make_plan
from loftline.project import FORMATS, PATTERN_KEYS, parse_project
from loftline.values import Kind
from loftline.web.app import HANDLERS, in_language
from loftline.web.desk import Desk
from loftline.web.document import Document
from loftline.web.edits import BadEdit
from loftline.web.packing import answer, plan_answer, shortened
from loftline.web.spots import spot_of
from loftline.web.walk import make_legs


def planned(**changes: object) -> Plan:
    return make_plan(parse_project({**tomllib.loads(demo_text()), **changes}))


@pytest.fixture(scope="module")
def plan() -> Plan:
    return planned()


def finding(where: str) -> Finding:
    return Finding(code="x", severity="note", where=where, message="m")


@pytest.mark.parametrize(
    ("where", "at", "names", "field"),
    [
        ("near (12.5, -3)", (12.5, -3.0), (), None),
        ("label, near (100, 120.5)", (100.0, 120.5), ("label",), None),
        ('"left magnet", "right magnet"', (75.0, 378.0), ("left magnet", "right magnet"), None),
        ('"left magnet, other half"', None, ("left magnet, other half",), None),
        ("fills[0].spacing", None, (), "fills[0].spacing"),
        ("quilting.order", None, (), "quilting.order"),
        ("nowhere at all", None, (), None),
        ("labels", None, (), None),
    ],
)
def test_a_finding_leads_somewhere(
    plan: Plan,
    where: str,
    at: tuple[float, float] | None,
    names: tuple[str, ...],
    field: str | None,
) -> None:
    spot = spot_of(finding(where), plan)
    assert (spot.names, spot.field) == (names, field)
    if at is not None:
        assert spot.at == pytest.approx(at)


def test_every_finding_of_the_demo_leads_to_a_place_or_a_field(plan: Plan) -> None:
    spots = [spot_of(found, plan) for found in plan.findings]
    assert all(spot.at is not None or spot.field is not None for spot in spots)


def test_the_sew_through_misses_no_stitch(plan: Plan) -> None:
    legs = make_legs(plan)
    assert sum(leg.stitches for leg in legs) == plan.report.stitches


def test_each_line_begins_where_the_one_before_it_ends(plan: Plan) -> None:
    legs = make_legs(plan)
    same = [(a.last, b.first) for a, b in itertools.pairwise(legs) if a.run == b.run]
    assert all(end == start for end, start in same)


def test_its_lengths_are_all_that_is_sewn(plan: Plan) -> None:
    assert sum(leg.length for leg in make_legs(plan)) == pytest.approx(
        sum(plan.report.length.values())
    )


def test_its_end_is_the_end_of_the_thread(plan: Plan) -> None:
    assert make_legs(plan)[-1].so_far == pytest.approx(1)


def test_ties_belong_to_lines(plan: Plan) -> None:
    assert Kind.TIE not in {leg.kind for leg in make_legs(plan)}


@pytest.mark.parametrize(
    ("angle", "sides"),
    [(90, {"left", "right"}), (0, {"upper", "lower"}), (45, {"upper left", "lower right"})],
)
def test_a_line_that_comes_towards_the_maker_has_this_side_at_her_left(
    angle: float, sides: set[str]
) -> None:
    plan = planned(fills=[{"pattern": "channel", "angle": angle, "spacing": 30}], keep_outs=[])
    lines = [leg for leg in make_legs(plan) if leg.kind == Kind.LINE and leg.length > 60]
    assert {leg.left for leg in lines} <= sides


def test_sewing_straight_down_the_panel_it_lies_as_it_is_drawn() -> None:
    # the panel's top is away from her, its left edge at her left
    plan = planned(fills=[{"pattern": "channel", "angle": 90, "spacing": 30}], keep_outs=[])
    y = plan.sewn.y
    down = [
        leg
        for leg in make_legs(plan)
        if leg.kind == Kind.LINE and leg.length > 60 and y[leg.last] < y[leg.first]
    ]
    assert {leg.left for leg in down} == {"left"}


def test_nothing_sewn_is_no_line() -> None:
    plan = planned(
        panel={"shape": "rectangle", "width": 20, "height": 20, "overhang": 0, "seam_allowance": 0},
        hardware=[{"kind": "sew-in magnet", "diameter": 18, "at": [10, 10]}],
        keep_outs=[],
        quilting={"edge": "none"},
    )
    assert (len(plan.sewn), make_legs(plan)) == (0, ())


def unpacked(data: bytes) -> tuple[dict[str, Any], dict[str, np.ndarray]]:
    """Read an answer by the words of its docstring."""
    assert data[:4] == b"LOFT"
    (length,) = struct.unpack("<I", data[4:8])
    header, at, arrays = json.loads(data[8 : 8 + length]), 8 + length, {}
    for entry in header["arrays"]:
        array = np.frombuffer(data, np.dtype("<" + entry["type"]), entry["count"], at)
        arrays[entry["name"]] = array
        at += -(-array.nbytes // 4) * 4
    assert at == len(data)
    return header, arrays


def test_an_answer_holds_every_needle_point(plan: Plan) -> None:
    _, arrays = unpacked(answer(*plan_answer(plan, tomllib.loads(demo_text()))))
    assert np.array_equal(
        arrays["points"].reshape(-1, 2), np.column_stack([plan.sewn.x, plan.sewn.y])
    )


def test_arrays_stand_at_multiples_of_four() -> None:
    data = answer({"odd": "é"}, {"a": np.zeros(3, np.uint8), "b": np.zeros(2, np.int32)})
    assert len(data) % 4 == 0
    assert unpacked(data)[1]["b"].tolist() == [0, 0]


def test_a_piece_knows_its_entry_in_the_file(plan: Plan) -> None:
    header, _ = plan_answer(plan, tomllib.loads(demo_text()))
    pieces: Any = header["pieces"]
    found = [(piece["name"], piece["index"], piece["moves"]) for piece in pieces]
    assert found == [
        ("left magnet", 0, True),
        ("left magnet, other half", 0, False),
        ("right magnet", 1, True),
        ("right magnet, other half", 1, False),
    ]


def test_a_long_list_of_points_is_not_sent() -> None:
    turn = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    points = np.round(100 + 100 * np.column_stack([np.cos(turn), np.sin(turn)]), 2).tolist()
    data = {"panel": {"shape": "polygon", "points": points}, "fills": [{"pattern": "channel"}]}
    header: Any = plan_answer(make_plan(parse_project(data)), data)[0]
    assert header["data"]["panel"]["points"] == {"long": 200}


def test_a_long_list_of_pieces_is_sent() -> None:
    pieces = [{"kind": "rivet", "at": [10 + 3 * i, 20], "name": f"r{i}"} for i in range(70)]
    data = {**tomllib.loads(demo_text()), "hardware": pieces}
    assert len(shortened(parse_project(data))["hardware"]) == 70  # type: ignore[index]


def test_every_pattern_can_be_sent() -> None:
    for pattern in PATTERN_KEYS:
        fill = (
            {"pattern": pattern, "motif": "orange peel"}
            if pattern == "motif"
            else {
                "pattern": pattern,
                "spacing": 40,
            }
        )
        data = {**tomllib.loads(demo_text()), "fills": [fill]}
        assert answer(*plan_answer(make_plan(parse_project(data)), data))


STATIC = resources.files("loftline.web").joinpath("static")


def catalogue() -> str:
    return STATIC.joinpath("words.js").read_text(encoding="utf-8")


@pytest.mark.parametrize("ext", FORMATS)
def test_every_kind_of_file_has_its_label(ext: str) -> None:
    assert f"  file_{ext}: " in catalogue()


def test_every_figure_has_its_label(plan: Plan) -> None:
    figures: Any = plan_answer(plan, tomllib.loads(demo_text()))[0]["figures"]
    assert [word for word, _ in figures if f"  fig_{word}: " not in catalogue()] == []


def test_every_finding_has_its_title() -> None:
    text = (Path(__file__).parents[2] / "docs" / "findings.md").read_text(encoding="utf-8")
    codes = re.findall(r"(?m)^\| `([a-z-]+)` \| (?:stop|look|good to know) \|", text)
    assert codes
    titles = [f"  found_{code.replace('-', '_')}: " for code in codes]
    assert [title for title in titles if title not in catalogue()] == []
    assert catalogue().count("  found_") == len(titles)


def test_a_figure_in_words_is_a_sentence_of_the_catalogue() -> None:
    figures: Any = plan_answer(planned(), tomllib.loads(demo_text()))[0]["figures"]
    said = [value for _, value in figures if isinstance(value, dict)]
    assert said
    for value in said:
        (sentence,) = re.findall(rf'(?m)^  {value["say"]}: "(.*)",$', catalogue())
        assert set(re.findall(r"\{(\w+)\}", sentence)) <= value.keys() - {"say"}


@pytest.mark.parametrize(
    ("wanted", "name"),
    [
        ("", "words.js"),
        ("en-GB,en;q=0.9,nl;q=0.8", "words.js"),
        ("nl-BE,nl;q=0.9,en;q=0.8", "words.nl.js"),
        ("de,nl;q=0.5", "words.nl.js"),
        ("de", "words.js"),
        ("../nl", "words.js"),
    ],
)
def test_another_language_is_one_more_file(wanted: str, name: str) -> None:
    assert in_language(wanted, {"words.js", "words.nl.js"}) == name


def test_the_page_stays_small() -> None:
    assert sum(len(entry.read_bytes()) for entry in STATIC.iterdir()) < 300_000


def test_the_type_of_an_answer_names_what_is_sent(tmp_path: Path) -> None:
    text = STATIC.joinpath("ask.js").read_text(encoding="utf-8")
    comment = text.split("@typedef {object} Answer", 1)[1].split("*/", 1)[0]
    named = re.findall(r"(?m)^ \* @property \{.*\} \[?(\w+)", comment)
    desk = Desk(Document.fresh(demo_text(), tmp_path))
    header, _ = unpacked(bytes(HANDLERS["begin"](desk, {}, does_nothing).body))
    assert set(named) == {*header}


def test_a_face_that_the_bag_has_no_more_is_answered_by_nothing(tmp_path: Path) -> None:
    # the page may still ask for the second face of a bag whose shape was changed meanwhile
    desk = Desk(Document.fresh(demo_text(), tmp_path))
    there, gone = (HANDLERS["sheet"](desk, {"face": face}, does_nothing) for face in (1, 2))
    assert (there.status_code, gone.status_code, gone.body) == (200, 204, b"")
    with pytest.raises(BadEdit, match="numbered"):
        HANDLERS["sheet"](desk, {"face": -1}, does_nothing)

"""Panels that are sewn from the back: mirrored as they lie, and nothing else changed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np
import pyembroidery
import pytest
import shapely

import loftline.writers
from loftline.export import make_files
from loftline.inspection import inspect_file, lay_on
from loftline.mirror import as_sewn, mirrored
from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.readers import READERS, read_stitch_file
from loftline.stitches.moves import obstacles
from loftline.values import Kind, Plan
from loftline.web.walk import make_legs
from loftline.writers import draw_plan, write_files
from loftline.writers.sheets.book import TITLES, make_book
from loftline.writers.sheets.drawing import draw_panel
from loftline.writers.sheets.face import Letters
from loftline.writers.sheets.quilting import draw_quilting
from loftline.writers.svg.wording import subtitle
from support_sheets import text_faults, words_of

POUCH: Mapping[str, Any] = {
    "name": "Spoke pouch",
    "panel": {"shape": "folded pouch", "width": 150, "body": 66, "flap": 54, "flap_inset": 3},
    "hardware": [{"name": "magnet", "kind": "sew-in magnet", "at": [40, 160], "mate": True}],
    "keep_outs": [{"name": "label", "shape": "rectangle", "width": 30, "height": 15}
        | {"at": [110, 38], "clearance": 3}],
    "fills": [{"pattern": "channel", "angle": 30, "spacing": 14}],
}  # fmt: skip

BOARD: Mapping[str, Any] = {
    "name": "Workbench caddy",
    "panel": {"shape": "rectangle", "width": 160, "height": 120},
    "hardware": [{"name": "rivet", "kind": "rivet", "diameter": 9, "at": [40, 70]}
        | {"fitted": "before quilting"}],
    "fills": [{"pattern": "channel", "angle": 20, "spacing": 15}],
}  # fmt: skip


def project_of(side: str, of: Mapping[str, Any] = POUCH, **tables: Any) -> Any:  # noqa: ANN401
    table = {"format": 1, **of, **tables}
    table["quilting"] = {"sewn_from": side, **tables.get("quilting", {})}
    return parse_project(table)


@cache
def pouch(side: str) -> Plan:
    return make_plan(project_of(side))


def board(side: str, sits: str, **tables: Any) -> Plan:  # noqa: ANN401 - any tables
    rivet = {**BOARD["hardware"][0], "sits": sits}
    return make_plan(project_of(side, {**BOARD, "hardware": [rivet]}, **tables))


def test_the_needle_points_on_the_panel_stay_where_they_are() -> None:
    back, outer = pouch("back").sewn, pouch("outer").sewn
    assert np.array_equal(back.x, outer.x)
    assert np.array_equal(back.y, outer.y)


@pytest.mark.parametrize("ext", sorted(READERS))
def test_a_stitch_file_from_the_back_is_the_mirror_image(ext: str) -> None:
    back, outer = (
        read_stitch_file(ext, write_files(pouch(side), (ext,))[f"spoke-pouch.{ext}"])
        for side in ("back", "outer")
    )
    assert np.array_equal(back.x, -outer.x)
    assert np.array_equal(back.y, outer.y)
    assert np.array_equal(back.run, outer.run)
    assert np.array_equal(back.via * (-1, 1), outer.via)


def test_another_decoder_reads_the_mirror_image_too(tmp_path: Any) -> None:  # noqa: ANN401
    # pyembroidery reads what our own readers read above
    points = {}
    for side in ("back", "outer"):
        path = tmp_path / f"{side}.dst"
        path.write_bytes(write_files(pouch(side), ("dst",))["spoke-pouch.dst"])
        sewn = [s[:2] for s in pyembroidery.read(str(path)).stitches if s[2] == 0]
        points[side] = np.array(sewn)
    assert np.array_equal(points["back"] * (-1, 1), points["outer"])


def test_a_symmetric_check_would_not_do() -> None:
    # the pouch's lines are no mirror image of themselves, so the tests above can fail
    x = pouch("outer").sewn.x
    assert not np.array_equal(np.sort(x), np.sort(1500 - x))


@pytest.mark.parametrize("ext", sorted(READERS))
def test_every_file_from_the_back_is_read_back_and_found_right(ext: str) -> None:
    files, findings = make_files(pouch("back"), (ext,))
    assert files
    assert findings == ()


def test_a_file_that_is_not_mirrored_is_never_written(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loftline.writers, "as_sewn", lambda plan: plan)
    files, findings = make_files(pouch("back"), ("dst",))
    assert not files
    assert "file-differs" in {finding.code for finding in findings}


def test_the_json_document_keeps_the_panel_outer_fabric_up_and_tells_the_side() -> None:
    told = {}
    for side in ("back", "outer"):
        told[side] = json.loads(write_files(pouch(side), ("json",))["spoke-pouch.json"])
    for key in ("panel", "keep_outs", "lines", "stitches", "hoopings"):
        assert told["back"][key] == told["outer"][key]
    assert [told[side]["report"]["sewn_from"] for side in told] == ["back", "outer"]


def test_a_part_program_says_which_side_is_up() -> None:
    lines = write_files(pouch("back"), ("gcode",))["spoke-pouch.gcode"].decode("ascii")
    assert "outer fabric down" in lines
    assert "outer fabric up" not in lines


def test_the_outline_of_the_full_size_sheet_is_mirrored() -> None:
    # looked at on the sheet's own curves: each is the other's image about x = 75
    one, two = (
        draw_panel(as_sewn(pouch(side)).panel, "mm").curves[-1].points
        for side in ("outer", "back")
    )  # fmt: skip
    assert shapely.Polygon(one * (-1, 1) + (150, 0)).equals(shapely.Polygon(two))


def test_the_quilting_sheet_shows_what_the_file_sews() -> None:
    plan = as_sewn(pouch("back"))
    drawn = shapely.MultiLineString(
        [
            curve.points[a:b]
            for curve in draw_quilting(plan).curves
            for a, b in zip(curve.starts[:-1], curve.starts[1:], strict=True)
        ]
    )
    read = read_stitch_file("dst", write_files(pouch("back"), ("dst",))["spoke-pouch.dst"])
    x, y = plan.sewn.origin
    places = shapely.points(np.column_stack([read.x + x, read.y + y]) / 10)
    shapely.prepare(drawn)
    assert shapely.dwithin(drawn, places, 0.15).all()


def test_a_ring_to_tape_lies_where_the_panel_has_it_turned_over() -> None:
    zone = next(zone for zone in as_sewn(pouch("back")).panel.keep_outs if zone.name == "magnet")
    # 40 mm from the left with the outer fabric up is 110 mm from the left of 150 turned over
    assert (zone.outline.centroid.x, zone.outline.centroid.y) == pytest.approx((110, 160))


def test_every_sheet_says_that_the_outer_fabric_lies_down() -> None:
    for sheet in make_book(pouch("back"), Letters(), paper="a4", kinds=tuple(TITLES)).sheets:
        assert "outer fabric down" in [words.text for words in words_of(sheet)]


def test_no_sheet_says_so_where_it_lies_up() -> None:
    for sheet in make_book(pouch("outer"), Letters(), paper="a4", kinds=tuple(TITLES)).sheets:
        assert not [words for words in words_of(sheet) if "outer fabric down" in words.text]


@pytest.mark.parametrize("paper", ["a4", "letter", "one sheet"])
def test_words_stay_in_the_frame_and_off_each_other(paper: str) -> None:
    book = make_book(pouch("back"), Letters(), paper=paper, kinds=tuple(TITLES))
    assert [fault for sheet in book.sheets for fault in text_faults(sheet)] == []


def test_a_fold_that_leads_away_leads_towards_who_looks_at_the_back() -> None:
    ways = {}
    for side in ("outer", "back"):
        labels = draw_panel(as_sewn(pouch(side)).panel, "mm").labels
        ways[side] = [line for label in labels for line in label.lines if "folds" in line]
    assert ways["outer"]
    assert [way.replace("away from", "towards") for way in ways["outer"]] == ways["back"]


def test_the_closed_bag_is_drawn_as_it_is_seen_either_way() -> None:
    one, two = pouch("outer"), mirrored(pouch("outer"))
    at = {piece.name: piece.at for piece in one.panel.pieces}
    for face, other in zip(one.panel.closed, two.panel.closed, strict=True):
        for shown, again in zip(face.parts, other.parts, strict=True):
            for piece in two.panel.pieces:
                assert again.move(piece.at) == pytest.approx(shown.move(at[piece.name]))


def test_the_picture_says_which_side_is_up() -> None:
    assert "outer fabric down" in draw_plan(pouch("back"))
    assert "outer fabric up" not in draw_plan(pouch("back"))


def test_a_magnet_lies_the_other_way_up_on_a_panel_turned_over() -> None:
    faces = {
        side: {piece.name: piece.face_up for piece in as_sewn(pouch(side)).panel.pieces}
        for side in ("outer", "back")
    }
    assert faces["outer"]["magnet"] == "marked face up"
    assert faces["back"]["magnet"] == "marked face down"


def test_the_order_of_work_tells_a_magnets_face_by_the_fabric() -> None:
    says = " ".join(s for step in pouch("back").report.work for s in step.sentences)
    assert "marked face to the outer fabric" in says
    assert "Mark on the back, the side that lies up" in says


FOOT = {"left": 8, "right": 12, "front": 12, "back": 15}


def test_what_stands_on_the_outer_fabric_lies_on_the_bed() -> None:
    plan = board("back", "above", machine={"foot": FOOT})
    assert "hardware-below" in {finding.code for finding in plan.findings}
    assert plan.panel.keep_outs[0].reach == pytest.approx(6.35)


def test_what_stands_on_the_back_keeps_the_foot_away() -> None:
    plan = board("back", "below", machine={"foot": FOOT})
    assert "hardware-below" not in {finding.code for finding in plan.findings}
    assert plan.panel.keep_outs[0].reach > 6.35 + 12


@pytest.mark.parametrize(("side", "sits"), [("outer", "above"), ("back", "below")])
def test_moves_between_runs_go_round_what_stands_up(side: str, sits: str) -> None:
    assert obstacles(board(side, sits).panel.keep_outs) is not None


@pytest.mark.parametrize(("side", "sits"), [("outer", "below"), ("back", "above")])
def test_moves_between_runs_pass_over_what_lies_on_the_bed(side: str, sits: str) -> None:
    assert obstacles(board(side, sits).panel.keep_outs) is None


def test_the_hoops_room_is_kept_as_the_maker_sits() -> None:
    # 18 mm free at the left of the hoop, whatever side of the panel lies up: x in every file
    # is counted from the hoop's middle
    machine = {"hoop": [100, 140], "hoop_room": {"left": 18}, "formats": ["dst"]}
    for side in ("outer", "back"):
        plan = make_plan(project_of(side, machine=machine))
        assert len(plan.hoopings) > 1
        files, findings = make_files(plan, ("dst",))
        assert not [finding for finding in findings if finding.severity == "error"]
        for data in files.values():
            read = read_stitch_file("dst", data)
            assert read.x.min() / 10 >= -50 + 2.5 + 18
            assert read.x.max() / 10 <= 50 - 2.5


def by_hand(side: str, order: str, **machine: Any) -> Plan:  # noqa: ANN401 - any keys
    table = {
        "name": "Workbench caddy",
        "panel": {"shape": "rectangle", "width": 300, "height": 120},
        # lines 20, 50 ... 290 mm from the left, so that they are no mirror image of themselves
        "fills": [{"pattern": "channel", "angle": 90, "spacing": 30, "start_at": [20, 60]}],
        "machine": {"guided": "hand", "foot_kind": "walking foot", **machine},
    }
    return make_plan(project_of(side, table, quilting={"order": order}))


def _lines(plan: Plan) -> tuple[np.ndarray, np.ndarray]:
    """Places (mm) and directions of the upright stitches of all lines, as the panel lies."""
    sewn = as_sewn(plan).sewn
    at = np.column_stack([sewn.x, sewn.y]) / 10
    step = np.diff(at, axis=0)
    line = (sewn.kind[1:] == Kind.LINE) & (np.diff(sewn.run) == 0) & (np.abs(step[:, 1]) > 2)
    return at[:-1][line], np.sign(step[line, 1])


@pytest.mark.parametrize("side", ["outer", "back"])
def test_the_wide_side_of_the_panel_stays_off_the_pillar(side: str) -> None:
    # she sews towards herself, so her right, where the pillar stands, lies at the left of the
    # way of sewing as the panel lies
    at, way = _lines(by_hand(side, "centre out", throat=200))
    width = 300 + 25
    towards = np.where(way > 0, at[:, 0] + 25, width - at[:, 0])  # cloth at the way's left
    assert towards.max() <= 200


@pytest.mark.parametrize("side", ["outer", "back"])
def test_what_the_throat_does_not_hold_is_told_from_either_side(side: str) -> None:
    # sewn one way, some have the wide side at the pillar
    plan = by_hand(side, "one way", throat=200)
    at, way = _lines(plan)
    towards = np.where(way > 0, at[:, 0] + 25, 325 - at[:, 0])
    (says,) = (finding.message for finding in plan.findings if finding.code == "throat-too-small")
    assert f"up to {towards.max():g} mm" in says


@pytest.mark.parametrize("side", ["outer", "back"])
@pytest.mark.parametrize("bar", ["left", "right"])
def test_the_guide_bar_follows_the_last_line_as_the_panel_lies(side: str, bar: str) -> None:
    at, way = _lines(by_hand(side, "beside the last line", guide_bar=bar))
    x = np.round(at[:, 0], 1)
    first = np.sort(np.unique(x, return_index=True)[1])
    seen = [x[first[0]]]
    for i in first[1:].tolist():
        last = min(seen, key=lambda other: abs(other - x[i]))
        # her right lies at the left of the way of sewing
        right = (x[i] > last) == (way[i] > 0)
        assert right == (bar == "right")
        seen.append(x[i])


def test_a_file_is_laid_on_the_panel_turned_over() -> None:
    data = write_files(pouch("back"), ("pes",))["spoke-pouch.pes"]
    laid = lay_on(inspect_file("spoke-pouch.pes", data), pouch("back"))
    assert laid.planned
    assert np.array_equal(laid.sewn.x, pouch("back").sewn.x)
    assert laid.zero == tuple(tenths / 10 for tenths in pouch("back").sewn.origin)


def test_a_place_said_for_a_files_zero_is_one_with_the_outer_fabric_up() -> None:
    data = write_files(pouch("back"), ("dst",))["spoke-pouch.dst"]
    x, y = (tenths / 10 for tenths in pouch("back").sewn.origin)
    laid = lay_on(inspect_file("spoke-pouch.dst", data), pouch("back"), zero=(x + 7, y))
    assert laid.zero == pytest.approx((x + 7, y))
    assert np.array_equal(laid.sewn.x, pouch("back").sewn.x + 70)


def test_the_file_of_the_other_side_is_known_as_such() -> None:
    data = write_files(pouch("outer"), ("dst",))["spoke-pouch.dst"]
    laid = lay_on(inspect_file("spoke-pouch.dst", data), pouch("back"))
    assert not laid.planned
    assert [one.name for one in laid.strikes]
    assert "file-turned-over" in {finding.code for finding in laid.findings}


def test_a_file_from_the_back_is_known_where_the_outer_fabric_lies_up() -> None:
    data = write_files(pouch("back"), ("dst",))["spoke-pouch.dst"]
    laid = lay_on(inspect_file("spoke-pouch.dst", data), pouch("outer"))
    assert "file-turned-over" in {finding.code for finding in laid.findings}


def test_any_other_file_is_not_taken_for_one_turned_over() -> None:
    data = write_files(board("outer", "above"), ("dst",))["workbench-caddy.dst"]
    laid = lay_on(inspect_file("spoke-pouch.dst", data), pouch("outer"))
    assert "file-turned-over" not in {finding.code for finding in laid.findings}


@pytest.mark.parametrize(("angle", "seen"), [(60, 120), (0, 0), ([30, 150], "150° and 30")])
def test_the_picture_tells_a_designs_angle_as_it_shows_it(angle: object, seen: object) -> None:
    # a line at 60 degrees, seen in a mirror that stands upright, runs at 120
    pattern = "grid" if isinstance(angle, list) else "channel"
    fill = {"pattern": pattern, "spacing": 12, "angle": angle}
    plan = as_sewn(make_plan(project_of("back", fills=[fill])))
    assert f" at {seen}°" in subtitle(plan)


def test_the_bobbin_thread_is_told_to_show() -> None:
    says = " ".join(pouch("back").report.advice)
    assert "the bobbin thread (tex 25) shows on the outer fabric" in says


@pytest.mark.parametrize(("needle", "bobbin", "told"), [(20, 50, True), (50, 20, False)])
def test_a_thick_thread_on_the_hidden_side_is_told(needle: int, bobbin: int, *, told: bool) -> None:
    threads = {"needle": {"tex": needle}, "bobbin": {"tex": bobbin}}
    codes = {f.code for f in make_plan(project_of("back", BOARD, thread=threads)).findings}
    assert ("thick-thread-hidden" in codes) == told


def test_the_two_threads_change_places() -> None:
    threads = {
        "needle": {"tex": 60, "metres": 200, "price": 4.0},
        "bobbin": {"tex": 30, "metres": 80},
        "needle_share": 0.8,
    }
    outer, back = (
        make_plan(project_of(side, BOARD, thread=threads)).report for side in ("outer", "back")
    )
    assert back.needle_thread.expected == pytest.approx(outer.bobbin_thread.expected)
    assert back.bobbin_thread.expected == pytest.approx(outer.needle_thread.expected)
    assert [total.tex for total in back.threads[:2]] == [30, 60]
    # the same bobbin holds half as much of a thread twice as thick
    assert back.bobbins is not None
    assert (back.bobbins.metres, back.bobbins.told) == (40, True)


@pytest.mark.parametrize("metres", [None, 80])
def test_the_thread_that_shows_is_bought_on_its_spools_from_either_side(metres: int | None) -> None:
    threads = {
        "needle": {"tex": 60, "metres": 200, "price": 4.0},
        "bobbin": {"tex": 30} | ({} if metres is None else {"metres": metres}),
    }
    bought = []
    for side, row in (("outer", 0), ("back", 1)):
        total = make_plan(project_of(side, BOARD, copies=50, thread=threads)).report.threads[row]
        bought.append((total.tex, total.metres, total.to_buy, total.price, total.filled))
    shows, on_the_bobbin = bought
    assert shows[2] is not None
    assert shows[2] > 1
    assert on_the_bobbin == shows


def test_what_lies_on_the_bobbin_comes_on_filled_ones_only_from_the_outer_side() -> None:
    threads = {"bobbin": {"tex": 30, "metres": 80}}
    filled = [
        [total.filled for total in make_plan(project_of(side, thread=threads)).report.threads[:2]]
        for side in ("outer", "back")
    ]
    assert filled == [[False, True], [False, False]]


def test_turned_over_twice_the_threads_are_as_before() -> None:
    given = {"needle": {"weight": "40 wt"}, "bobbin": {"tex": 30, "metres": 80}}
    thread = project_of("back", BOARD, thread=given).thread
    twice = thread.turned_over().turned_over()
    assert (twice.needle, twice.needle_share) == (thread.needle, thread.needle_share)
    assert (twice.bobbin.tex, twice.bobbin.weight) == (30, None)


@pytest.mark.parametrize("side", ["outer", "back"])
def test_a_file_of_a_turned_hoop_lies_where_the_docs_of_the_document_say(side: str) -> None:
    # docs/json-document.md: (x, y) of a file lies at origin + (x cos - y sin, x sin + y cos), with
    # -x for x where it is sewn from the back
    plan = make_plan(project_of(side, machine={"hoop": [140, 90], "formats": ["dst"]}))
    files = write_files(plan, ("dst", "json"))
    told = json.loads(files["spoke-pouch.json"])
    assert any(hooping["turn"] for hooping in told["hoopings"])
    flip = -1 if told["report"]["sewn_from"] == "back" else 1
    for hooping in told["hoopings"]:
        read = read_stitch_file("dst", files[hooping["files"]["dst"]])
        turn, (x0, y0) = np.radians(hooping["turn"]), hooping["origin"]
        x, y = flip * read.x / 10, read.y / 10
        own = slice(hooping["first"], hooping["last"] + 1)
        there = np.array([told["stitches"]["x"][own], told["stitches"]["y"][own]])
        places = np.array(
            [x * np.cos(turn) - y * np.sin(turn), x * np.sin(turn) + y * np.cos(turn)]
        )
        assert np.allclose(places + np.array([[x0], [y0]]), there, atol=1e-6)


def test_the_walk_through_the_lines_tells_the_side_at_her_left_as_the_panel_lies() -> None:
    # she sits in front of the same line with the panel turned over: what was told to lie at her
    # left, in words of the panel as it is drawn, lies at her right
    opposite = {"left": "right", "right": "left", "upper": "lower", "lower": "upper"}
    sides = {side: [leg.left for leg in make_legs(pouch(side))] for side in ("outer", "back")}
    turned = [" ".join(opposite[word] for word in told.split()) for told in sides["outer"]]
    assert turned == sides["back"]

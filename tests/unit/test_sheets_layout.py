"""How full-size sheets are laid out: values only, nothing is written."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
import shapely

from loftline.geometry import rectangle
from loftline.project.sheets_table import SHEETS
from loftline.values import Hooping, Plan
from loftline.values.sewing import Mark as HoopMark
from loftline.writers.sheets.book import TITLES, make_book, usual_kinds
from loftline.writers.sheets.drawing import Drawing
from loftline.writers.sheets.face import NO_LETTER, Letters
from loftline.writers.sheets.ink import Curves, Ink, Shape, Words, edge
from loftline.writers.sheets.paper import LARGE, SMALL, Layout, head
from loftline.writers.sheets.placing import Label, Placer
from loftline.writers.sheets.quilting import guide_lines
from loftline.writers.sheets.tiles import STRIP, choose_grid, tile_drafts
from support_plans import make_panel, make_plan, pouch_plan
from support_sheets import curves_of, pouch, pouch_book, text_faults, words_of

FACE = Letters()


def outline(shape: shapely.Geometry) -> Drawing:
    assert isinstance(shape, shapely.Polygon)
    return Drawing(area=shape, shapes=(), curves=(edge(shape, Ink(width=0.5)),))


@pytest.mark.parametrize("paper", ["a4", "letter", "one sheet"])
def test_words_stay_in_the_frame_large_enough_and_off_each_other(paper: str) -> None:
    assert [fault for sheet in pouch_book(paper).sheets for fault in text_faults(sheet)] == []


@pytest.mark.parametrize("change", ["moved", "small", "twice"])
def test_the_look_at_words_can_fail(change: str) -> None:
    sheet = pouch_book().sheets[0]
    first = words_of(sheet)[0]
    if change == "moved":
        other = replace(first, at=(first.at[0] - 30.0, first.at[1] + 8.0))
    elif change == "small":
        other = replace(first, size=3.0)
    else:
        other = replace(first, text="again")
    kept = sheet.marks if change == "twice" else [m for m in sheet.marks if m is not first]
    assert list(text_faults(replace(sheet, marks=(*kept, other))))


@pytest.mark.parametrize("paper", ["a4", "letter", "one sheet"])
def test_lines_are_neither_too_thin_nor_too_thick(paper: str) -> None:
    widths = {curve.ink.width for sheet in pouch_book(paper).sheets for curve in curves_of(sheet)}
    assert min(widths) >= 0.25
    assert max(widths) <= 0.7


def corners(curve: Curves) -> set[tuple[float, float]]:
    return {(round(x, 6), round(y, 6)) for x, y in curve.points.tolist()}


@pytest.mark.parametrize("paper", ["a4", "letter", "one sheet"])
def test_every_sheet_has_both_squares_to_measure(paper: str) -> None:
    for sheet in pouch_book(paper).sheets:
        drawn = set().union(*(corners(curve) for curve in curves_of(sheet)))
        for (x, y), side in zip(sheet.squares, (SMALL, LARGE), strict=True):
            for dx in (0.0, side):
                for dy in (0.0, side):
                    assert (round(x + dx, 6), round(y + dy, 6)) in drawn


def test_the_squares_are_50_mm_and_2_in() -> None:
    assert (SMALL, LARGE) == (50.0, 50.8)  # an inch is 25.4 mm by definition


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_sheet_says_what_to_do_when_the_squares_are_off(paper: str) -> None:
    for sheet in pouch_book(paper).sheets:
        text = " ".join(words.text for words in words_of(sheet))
        assert "under 49.5 or over 50.5 mm" in text
        assert "do not use this sheet" in text


def test_marks_stay_on_the_paper() -> None:
    for sheet in pouch_book().sheets:
        wide, high = sheet.size
        for curve in curves_of(sheet):
            assert curve.points.min() >= 0
            assert curve.points[:, 0].max() <= wide
            assert curve.points[:, 1].max() <= high


def test_a_drawing_stays_in_its_window() -> None:
    shape = rectangle((150, 200), 300, 400)
    drawing = outline(shape)
    for draft in tile_drafts(
        drawing, choose_grid(drawing, FACE, "a4"), FACE, kind="panel", name="x", title="y"
    ):
        sheet = draft("sheet 1 of 4")
        assert sheet.tile is not None
        x0, y0, x1, y1 = sheet.tile.window
        for curve in curves_of(sheet):
            if curve.ink.width == 0.5:
                assert (curve.points >= (x0 - 1e-6, y0 - 1e-6)).all()
                assert (curve.points <= (x1 + 1e-6, y1 + 1e-6)).all()


def test_paper_lies_the_way_that_takes_fewer_sheets() -> None:
    wide, tall = rectangle((125, 75), 250, 150), rectangle((75, 125), 150, 240)
    for shape, sideways in ((wide, True), (tall, False)):
        grid = choose_grid(outline(shape), FACE, "a4")
        assert grid.count == 1
        assert (grid.layout.size[0] > grid.layout.size[1]) == sideways


def test_empty_tiles_are_left_out() -> None:
    ell = shapely.union(shapely.box(0, 0, 500, 80), shapely.box(0, 0, 80, 700))
    grid = choose_grid(outline(ell), FACE, "a4")
    assert grid.count < grid.used.size
    drafts = tile_drafts(outline(ell), grid, FACE, kind="panel", name="x", title="y")
    assert len(drafts) == grid.count


def test_the_tiles_hold_every_place_of_the_drawing() -> None:
    shape = shapely.Point(300, 300).buffer(290)
    drawing = outline(shape)
    grid = choose_grid(drawing, FACE, "letter")
    seen = []
    for draft in tile_drafts(drawing, grid, FACE, kind="panel", name="x", title="y"):
        tile = draft("").tile
        assert tile is not None
        x0, y0, x1, y1 = tile.window
        dx, dy = tile.shift
        seen.append(shapely.box(x0 - dx, y0 - dy, x1 - dx, y1 - dy))
    assert shapely.covers(shapely.union_all(seen), shape)


def test_neighbours_share_two_crosses() -> None:
    drawing = outline(rectangle((150, 200), 300, 400))
    grid = choose_grid(drawing, FACE, "a4")
    places = {}
    for draft in tile_drafts(drawing, grid, FACE, kind="panel", name="x", title="y"):
        tile = draft("").tile
        assert tile is not None
        places[tile.row, tile.column] = {
            (round(x - tile.shift[0], 6), round(y - tile.shift[1], 6)) for x, y in tile.crosses
        }
    for (row, column), crosses in places.items():
        for beside in ((row, column + 1), (row + 1, column)):
            if beside in places:
                assert len(crosses & places[beside]) == 2


def test_neighbours_overlap_by_a_glue_strip() -> None:
    drawing = outline(rectangle((150, 200), 300, 400))
    drafts = tile_drafts(
        drawing, choose_grid(drawing, FACE, "a4"), FACE, kind="panel", name="x", title="y"
    )
    left, right = (draft("").tile for draft in drafts[:2])
    assert left is not None
    assert right is not None
    end_of_left = left.window[2] - left.shift[0]
    start_of_right = right.window[0] - right.shift[0]
    assert end_of_left - start_of_right == pytest.approx(STRIP)


def test_every_tile_bears_its_name_and_that_of_its_neighbours() -> None:
    panel = [sheet for sheet in pouch_book().sheets if sheet.kind == "panel"]
    names = {sheet.tile.name for sheet in panel if sheet.tile is not None}
    assert {"A1", "A2", "B1", "B2"} <= names
    first = panel[0]
    told = {words.text for words in words_of(first)}
    assert "A1" in told
    assert "A2" in told
    assert "B1 over this" in told


def test_both_halves_of_a_closure_are_named_alike() -> None:
    told = {
        words.text
        for sheet in pouch_book().sheets
        if sheet.kind == "panel"
        for words in words_of(sheet)
    }
    mates = [zone for zone in pouch().panel.keep_outs if zone.mate_of is not None]
    assert mates
    letters = {text.split()[0] for text in told if "\u2032" in text}
    assert {letter[:-1] for letter in letters} <= {text.split()[0] for text in told if text.split()}


def test_the_guide_bar_follows_one_marked_line() -> None:
    plan = pouch_plan()
    drawing = guide_lines(plan)
    assert drawing is not None
    marked = [curve for curve in drawing.curves if curve.ink == Ink(width=0.7)]
    lines = marked[-1]
    along = np.array([-np.sin(np.pi / 4), np.cos(np.pi / 4)])
    offsets = lines.points @ along
    assert np.ptp(offsets) < 0.5
    assert 0 < len(lines.starts) - 1 < len(plan.lines)


def test_curves_must_all_be_marked_so_there_is_no_such_sheet() -> None:
    plan = pouch_plan()
    curved = replace(plan, lines=replace(plan.lines, angle=np.full(len(plan.lines), np.nan)))
    assert guide_lines(curved) is None


def test_sheets_come_in_their_order_whatever_order_is_asked() -> None:
    book = make_book(pouch(), FACE, paper="a4", kinds=("order", "hardware", "panel"))
    kinds = list(dict.fromkeys(sheet.kind for sheet in book.sheets))
    assert kinds == ["panel", "hardware", "order"]


def test_the_overview_tells_where_the_others_are() -> None:
    book = pouch_book()
    contents = [words.text for sheet in book.sheets for words in words_of(sheet)
                if sheet.kind == "overview"]  # fmt: skip
    for kind, title in TITLES.items():
        numbers = [i for i, sheet in enumerate(book.sheets, 1) if sheet.kind == kind]
        if kind == "overview" or not numbers:
            continue
        span = f"{numbers[0]} to {numbers[-1]}" if len(numbers) > 1 else f"{numbers[0]}"
        assert contents[contents.index(title) + 1] == span


def test_sheets_are_numbered_through() -> None:
    book = pouch_book()
    for number, sheet in enumerate(book.sheets, 1):
        told = [words.text for words in words_of(sheet)]
        assert f"sheet {number} of {len(book.sheets)}" in told


@pytest.mark.parametrize(
    "name", ["Сумка для инструмента", "自転車の工具袋", "공구 주머니", "Sacoche à clés", "תיק"]
)
def test_names_of_many_scripts_have_letters(name: str) -> None:
    assert FACE.missing(name) == ""


def test_what_no_font_has_is_told() -> None:
    tibetan = "ཀ"
    assert FACE.missing(f"a{tibetan}{tibetan}") == tibetan
    assert FACE.runs(tibetan)[0][1] == NO_LETTER


def test_words_that_run_to_the_left_are_turned_round_on_paper() -> None:
    # a figure after such a word is read after it, so it stands at its left (Unicode Annex 9)
    ((_, text),) = FACE.runs("תיק 12")
    assert text == "12 קית"


def test_a_very_long_name_is_cut_and_not_written_over_others() -> None:
    plan = make_plan_named("Spoke pouch for the very longest of all spanners " * 4)
    book = make_book(plan, FACE, paper="a4", kinds=tuple(TITLES))
    assert [fault for sheet in book.sheets for fault in text_faults(sheet)] == []


def make_plan_named(name: str) -> Plan:
    plan = pouch()
    project = plan.project.model_copy(update={"name": name[:100]})
    pieces = tuple(replace(piece, name=name[:100]) for piece in plan.panel.pieces)
    zones = tuple(
        replace(zone, name=f"{i} {name}"[:100], mate_of=None)
        for i, zone in enumerate(plan.panel.keep_outs)
    )
    panel = replace(plan.panel, name=name[:100], pieces=pieces, keep_outs=zones)
    return replace(plan, project=project, panel=panel)


def test_every_keep_out_and_its_clearance_are_on_the_panel_sheet() -> None:
    sheets = [sheet for sheet in pouch_book("one sheet").sheets if sheet.kind == "panel"]
    (sheet,) = sheets
    assert sheet.tile is not None
    drawn = shapely.union_all(
        [shapely.MultiPoint(curve.points - sheet.tile.shift) for curve in curves_of(sheet)]
    )
    for zone in pouch().panel.keep_outs:
        ring = zone.outline.buffer(zone.reach, quad_segs=64)
        for rim in (zone.outline.exterior, ring.exterior):
            places = shapely.points(shapely.get_coordinates(rim)[::8])
            assert shapely.distance(places, drawn).max() < 0.6 or rim is zone.outline.exterior


def test_marks_are_of_the_three_sorts() -> None:
    kinds = {type(mark) for sheet in pouch_book().sheets for mark in sheet.marks}
    assert kinds == {Curves, Shape, Words}


def test_a_panel_without_anything_on_it_has_no_hardware_sheet() -> None:
    plan = pouch()
    bare = replace(plan, panel=replace(plan.panel, pieces=(), keep_outs=()))
    book = make_book(bare, FACE, paper="a4", kinds=("panel", "hardware"))
    assert {sheet.kind for sheet in book.sheets} == {"panel"}


def hooped() -> Plan:
    plan = pouch()
    last = len(plan.sewn) - 1
    mark = HoopMark(at=(125.0, 200.0), kind="sheet", sewn=False)
    halves = (
        Hooping(field=(250.0, 230.0), place=(0.0, -10.0, 250.0, 220.0), origin=(1250, 1050),
                last=last // 2, marks=(mark,)),
        Hooping(field=(250.0, 230.0), place=(0.0, 190.0, 250.0, 420.0), origin=(1250, 3050),
                first=last // 2 + 1, last=last, marks=(mark,), turn=180),
    )  # fmt: skip
    return replace(plan, hoopings=halves)


def test_the_hooping_sheet_tells_each_files_centre() -> None:
    book = make_book(hooped(), FACE, paper="a4", kinds=("hoopings",))
    told = [words.text for sheet in book.sheets for words in words_of(sheet)]
    for file, centre in (("spoke-pouch-1", "125, 105"), ("spoke-pouch-2", "125, 305")):
        assert centre in told[told.index(file) : told.index(file) + 4]


def test_the_hooping_sheets_words_keep_apart() -> None:
    book = make_book(hooped(), FACE, paper="a4", kinds=("hoopings", "quilting"))
    assert [fault for sheet in book.sheets for fault in text_faults(sheet)] == []


def test_points_that_hoops_are_laid_by_are_on_the_quilting_sheet() -> None:
    book = make_book(hooped(), FACE, paper="one sheet", kinds=("quilting",))
    (sheet,) = book.sheets
    assert "hoopings 1, 2" in {words.text for words in words_of(sheet)}
    assert sheet.tile is not None
    at = np.add((125.0, 200.0), sheet.tile.shift)
    assert any(
        bool(np.isclose(curve.points.mean(axis=0), at, atol=0.05).all())
        for curve in curves_of(sheet)
        if curve.ink == Ink(width=0.35) and not curve.ink.dashes
    )


def test_without_a_hoop_there_is_no_hooping_sheet() -> None:
    assert make_book(pouch(), FACE, paper="a4", kinds=("hoopings",)).sheets == ()


def test_of_many_tiles_the_overview_speaks_of_one_large_sheet() -> None:
    plan = make_plan(make_panel("Banner", shapely.box(0, 0, 1500, 500)), spacing=120)
    for paper, many in (("a4", True), ("one sheet", False)):
        book = make_book(plan, FACE, paper=paper, kinds=("overview", "panel"))
        text = " ".join(
            words.text
            for sheet in book.sheets
            if sheet.kind == "overview"
            for words in words_of(sheet)
        )
        assert ("These are many sheets to tape" in text) == many


@pytest.mark.parametrize("guided", ["machine", "hand"])
def test_guide_lines_are_for_who_guides_the_panel_by_hand(guided: str) -> None:
    machine = pouch().project.machine.model_copy(update={"guided": guided})
    project = pouch().project.model_copy(update={"machine": machine})
    assert ("guide lines" in usual_kinds(project)) == (guided == "hand")


def test_the_kinds_are_those_of_the_project_file() -> None:
    assert tuple(TITLES) == SHEETS


def lead_and_words(label: Label, *, taken: bool = False) -> tuple[Placer, shapely.LineString]:
    placer = Placer(FACE, (0.0, 0.0, 100.0, 100.0), ())
    if taken:
        placer.take((53.0, 53.0, 55.0, 55.0))
    (lead,) = [mark for mark in placer.place(label) if isinstance(mark, Curves)]
    return placer, shapely.LineString(lead.points)


def test_a_line_that_leads_to_words_keeps_off_squares_and_other_words() -> None:
    label = Label(lines=("snap",), near=shapely.Point(50, 50), gap=10.0)
    taken = shapely.box(53, 53, 55, 55)
    _, free = lead_and_words(label)
    assert free.intersects(taken)
    _, lead = lead_and_words(label, taken=True)
    assert not lead.intersects(taken)


def test_words_keep_off_lines_that_lead_to_others() -> None:
    far = Label(lines=("snap",), near=shapely.Point(50, 50), gap=10.0)
    placer, lead = lead_and_words(far)
    around = shapely.box(44, 44, 64, 64)
    (word,) = placer.place(Label(lines=("x",), near=around, inside=True, lead=False))
    assert isinstance(word, Words)
    assert not shapely.box(*word.box).intersects(lead)


@pytest.mark.parametrize("wide", [136.0, 150.0, 210.0])
def test_the_line_at_the_head_of_a_narrow_sheet_has_no_words_over_others(wide: float) -> None:
    layout = Layout(size=(wide, 200.0))
    title, number = "Lines to mark, full size", "sheet 7 of 11"
    marks = head(FACE, layout, "Spoke pouch", title, number, side="outer fabric down")
    boxes = [mark.box for mark in marks if isinstance(mark, Words)]
    assert all(one[2] < two[0] for one, two in itertools.pairwise(boxes))
    assert (len(boxes) == 4) == (wide > 150)

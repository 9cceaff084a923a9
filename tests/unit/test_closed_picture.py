"""The closed bag in the picture: what shows on front and back, what is hidden, which way is up."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.values import Affine, Floats, Kind, Panel, Plan
from loftline.writers import draw_closed_face, draw_plan
from loftline.writers.svg.closed import draw_closed
from loftline.writers.svg.closed_place import place_faces
from loftline.writers.svg.closed_shapes import seen_thread
from loftline.writers.svg.strands import Strands, make_strands
from loftline.writers.svg.style import DIFFERENT_RUNS, make_scale, run_colour, run_dashes
from support_pictures import SVG, Element, by_id, of_class, polylines, read_picture, texts
from support_plans import make_plan, tiny_plan

POUCH = {
    "shape": "folded pouch",
    "width": 250,
    "body": 150,
    "flap": 110,
    "flap_inset": 0,
    "seam_allowance": 8,
}
WALLET = {
    "shape": "rectangle",
    "width": 240,
    "height": 90,
    "folds": [
        {"name": "left fold", "from": [80, 0], "to": [80, 90]},
        {"name": "right fold", "from": [160, 0], "to": [160, 90]},
    ],
}
LONG_COVER = {
    "shape": "rectangle",
    "width": 200,
    "height": 300,
    "folds": [{"name": "fold", "from": [0, 100], "to": [200, 100]}],
    "parts": [{"name": "body", "at": [9, 9]}, {"name": "cover", "at": [9, 200]}],
}
SET = {"closed_to": "both", "gap": 6, "crease": True}
SET_POUCH = POUCH | {"folds": [{"name": "lower fold"} | SET, {"name": "upper fold"} | SET]}
CLOSE_FOLDS = {
    "shape": "rectangle",
    "width": 240,
    "height": 200,
    "folds": [{"name": f"fold {y}", "from": [0, y], "to": [240, y]} | SET for y in (90, 98, 106)],
}
CLOSE_UPRIGHT = {
    "shape": "rectangle",
    "width": 240,
    "height": 120,
    "folds": [
        {"name": f"fold {x}", "from": [x, 0], "to": [x, 120]} | SET for x in (100, 110, 120, 200)
    ],
}
TOTE = {"shape": "boxed tote side", "width": 320, "height": 300, "depth": 90}
SLEEVE = {"shape": "flat sleeve", "width": 220, "body": 160}
DART = {"name": "left dart", "points": [[0, 130], [30, 160], [0, 190]]}
BOXED = {"name": "left corner", "fold": "lower fold", "side": "left", "depth": 60}
MAGNET = {"name": "magnet", "kind": "sew-in magnet", "diameter": 18, "at": [75, 378], "mate": True}
LABEL = {"name": "label", "shape": "rectangle", "width": 60, "height": 20}
RIVET = {"name": "rivet", "kind": "rivet"}


def panel_of(panel: dict[str, Any], **more: Any) -> Panel:  # noqa: ANN401 - any table of the file
    document = {"format": 1, "name": "x", "panel": panel, "fills": [{"pattern": "channel"}]}
    return make_panel(parse_project(document | more))


@cache
def pouch() -> Plan:
    keep_outs = [LABEL | {"at": [125, 130]}, LABEL | {"name": "badge", "at": [125, 55]}]
    rivets = [RIVET | {"at": [30, 200]}, RIVET | {"name": "dot", "at": [220, 132]}]
    panel = panel_of(POUCH, hardware=[MAGNET, *rivets], keep_outs=keep_outs)
    return make_plan(panel, spacing=17, angle=35, lines_per_run=5)


def picture_of(plan: Plan) -> Element:
    return read_picture(draw_plan(plan))


def corner_of(face: Element) -> Floats:
    """Page place of the lower left corner of what is drawn of a face; y runs down there."""
    fabric = np.concatenate([c for p in of_class(face, "fabric") for c in polylines(p)])
    return np.array([fabric[:, 0].min(), fabric[:, 1].max()])


def stitches_on(plan: Plan, low: float, high: float) -> Floats:
    """Ends ``(n, 2, 2)`` of the stitches that show, on a strip of the flat panel."""
    sewn = plan.sewn
    ends = 1 + np.flatnonzero((np.diff(sewn.run) == 0) & np.isin(sewn.kind[1:], (0, 1)))
    xy = np.column_stack([sewn.x, sewn.y]) / 10
    both = np.stack([xy[ends - 1], xy[ends]], axis=1)
    found: Floats = both[(both[:, :, 1].max(axis=1) >= low) & (both[:, :, 1].min(axis=1) <= high)]
    return found


def drawn_thread(face: Element) -> shapely.MultiLineString:
    """The thread of a face in millimetres from its lower left corner, y up."""
    curves = [c for p in of_class(face, "thread") for c in polylines(p)]
    return shapely.MultiLineString([(c - corner_of(face)) * (1, -1) for c in curves])


def test_the_front_shows_the_thread_of_front_and_flap_as_folded_by_hand() -> None:
    plan = pouch()
    face = by_id(picture_of(plan), "closed-front")
    # by hand: sides change, the front turns about y = 150, the flap about y = 300; 8 mm go
    # into the seams, so the flap ends 102 mm below the fold and the front 8 mm below it
    front = np.array([242.0, 150.0]) - stitches_on(plan, 0, 150)
    flap = np.array([242.0, 450.0]) - stitches_on(plan, 300, 410)
    below, over = shapely.box(0, 0, 234, 48), shapely.box(0, 48, 234, 150)
    expected = shapely.union(
        shapely.MultiLineString(list(front)).intersection(below),
        shapely.MultiLineString(list(flap)).intersection(over),
    )
    # 0.1 mm left out by thinning, 0.05 mm by rounding, and what that moves at the clipped ends
    assert shapely.hausdorff_distance(drawn_thread(face), expected, 0.2) < 0.4


def test_the_back_shows_the_thread_of_the_back() -> None:
    plan = pouch()
    face = by_id(picture_of(plan), "closed-back")
    back = stitches_on(plan, 150, 300) - (8, 150)
    expected = shapely.MultiLineString(list(back)).intersection(shapely.box(0, 0, 234, 150))
    assert shapely.hausdorff_distance(drawn_thread(face), expected, 0.2) < 0.4


def test_no_thread_runs_out_of_its_part_where_folds_cross() -> None:
    ends = (
        (533.4914071254598, 505.08548172786436),
        (132.80835800996252, 80.81431117656153),
        (594.0130425694578, 525.7233544118668),
        (114.66108512964456, 169.5336564029478),
    )
    folds = [
        {"name": f"fold {i}", "from": [low, -1], "to": [high, 528.363049721904]}
        for i, (low, high) in enumerate(ends)
    ]
    sizes = {"width": 690.4433183705072, "height": 406.4331151706954, "seam_allowance": 5}
    panel = {"shape": "ellipse"} | sizes
    plan = make_plan(panel_of(panel | {"folds": folds}), spacing=25, angle=160)
    for face in of_class(picture_of(plan), "face"):
        for part in of_class(face, "shown"):
            fabric, thread = (
                shapely.MultiLineString([c for p in of_class(part, name) for c in polylines(p)])
                for name in ("fabric", "thread")
            )
            # to a tenth of a millimetre
            assert thread.difference(shapely.box(*fabric.bounds).buffer(0.1)).is_empty


def test_travel_shows_in_the_closed_bag() -> None:
    plan = pouch()
    lines_only = replace(plan, sewn=replace(plan.sewn, kind=np.full(len(plan.sewn), Kind.TRAVEL)))
    one = drawn_thread(by_id(picture_of(plan), "closed-back"))
    other = drawn_thread(by_id(picture_of(lines_only), "closed-back"))
    assert one.length == pytest.approx(other.length, rel=0.05)


def test_each_face_says_its_size_and_what_is_seen() -> None:
    picture = picture_of(pouch())
    front, back = (texts(by_id(picture, f"closed-{name}")) for name in ("front", "back"))
    assert front[:2] == ["closed, front", "234 mm wide, 150 mm high: front with flap over it"]
    assert back[:2] == ["closed, back", "234 mm wide, 150 mm high: back"]


def test_each_face_can_be_read_aloud() -> None:
    face = by_id(picture_of(pouch()), "closed-front")
    assert face.findtext(f"{SVG}title") == "closed, front"
    said = "front with flap over it, 234 mm wide, 150 mm high"
    assert face.findtext(f"{SVG}desc") == said


def test_the_size_is_told_in_inches_where_the_project_is() -> None:
    plan = pouch()
    inches = replace(plan, project=plan.project.model_copy(update={"units": "in"}))
    told = texts(by_id(picture_of(inches), "closed-back"))[1]
    assert told == "9.21 in wide, 5.91 in high: back"


def test_the_flaps_edge_is_heavier_than_the_outline() -> None:
    face = by_id(picture_of(pouch()), "closed-front")
    (on_top,) = of_class(face, "on-top")
    edge = of_class(face, "edge")[0]
    assert float(on_top.get("stroke-width", "")) > 1.5 * float(edge.get("stroke-width", ""))
    heights = np.concatenate(polylines(on_top))[:, 1]
    assert corner_of(face)[1] - heights.max() == pytest.approx(48, abs=0.1)


def test_an_edge_under_the_flap_is_dashed() -> None:
    face = by_id(picture_of(pouch()), "closed-front")
    (beneath,) = of_class(face, "beneath")
    assert beneath.get("stroke-dasharray")
    heights = corner_of(face)[1] - np.concatenate(polylines(beneath))[:, 1]
    assert heights == pytest.approx(np.full(len(heights), 142), abs=0.1)


def middles(face: Element, name: str) -> list[tuple[float, float]]:
    corner = corner_of(face)
    found = []
    for mark in of_class(face, name):
        bounds = shapely.MultiPoint(np.concatenate(polylines(mark))).bounds
        x, y = (bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2
        found.append((round(x - corner[0]), round(corner[1] - y)))
    return sorted(found)


def test_what_shows_is_in_place_and_what_is_hidden_is_dashed() -> None:
    face = by_id(picture_of(pouch()), "closed-front")
    # by hand: (242 - x, 150 - y) on the front, (242 - x, 450 - y) on the flap
    assert middles(face, "shows") == [(22, 18), (117, 20)]  # dot, label
    assert middles(face, "hidden") == [(117, 95), (167, 72), (167, 72)]  # badge, both magnets
    assert all(mark.get("stroke-dasharray") for mark in of_class(face, "hidden"))
    assert not any(mark.get("stroke-dasharray") for mark in of_class(face, "shows"))


def test_hardware_of_the_other_face_is_not_drawn() -> None:
    face = by_id(picture_of(pouch()), "closed-back")
    assert middles(face, "shows") == [(22, 50)]
    assert middles(face, "hidden") == []


def test_the_two_halves_at_one_place_share_their_letters() -> None:
    told = texts(by_id(picture_of(pouch()), "closed-front"))
    assert "A A\u2032" in told
    assert "A" not in told


def test_a_face_that_stands_alone_has_its_letters_and_no_words() -> None:
    told = texts(read_picture(draw_closed_face(pouch(), 0)))
    assert "A A\u2032" in told
    assert [text for text in told if not re.fullmatch(r"[A-Z]\u2032?( [A-Z]\u2032?)*", text)] == []


def test_a_face_that_stands_alone_lies_wholly_on_its_sheet() -> None:
    plan = pouch()
    picture = read_picture(draw_closed_face(plan, 1))
    _, _, wide, high = map(float, picture.attrib["viewBox"].split())
    xy = np.concatenate(
        [points for mark in of_class(picture, "edge") for points in polylines(mark)]
    )
    assert xy.min() > 0
    assert (xy.max(axis=0) < (wide, high)).all()
    assert tuple(np.ptp(xy, axis=0)) == pytest.approx(plan.panel.closed[1].size, abs=0.02)


def test_without_folds_there_is_no_closed_bag() -> None:
    picture = picture_of(tiny_plan())
    assert not [e for e in picture.iter() if (e.get("id") or "").startswith("closed")]
    assert "closed bag" not in " ".join(texts(picture))


def test_the_side_of_a_tote_is_shown_alone() -> None:
    plan = make_plan(panel_of(TOTE))
    picture = picture_of(plan)
    assert [face.name for face in plan.panel.closed] == ["front"]
    # by hand: 320 and 300 less 45 for the base, and 10 in each seam: left, right, top, squares
    assert texts(by_id(picture, "closed-front"))[1] == "300 mm wide, 235 mm high: side"
    note = "The base stands square to it in the bag and is not shown."
    assert note in texts(by_id(picture, "closed"))


def test_darts_are_told_to_be_drawn_open() -> None:
    plain, darted = (make_plan(panel_of(SLEEVE | more)) for more in ({}, {"darts": [DART]}))
    assert "Darts" not in " ".join(texts(by_id(picture_of(plain), "closed")))
    assert "Darts are drawn open" in " ".join(texts(by_id(picture_of(darted), "closed")))
    assert of_class(by_id(picture_of(darted), "closed-front"), "dart")


def test_boxed_corners_are_told_to_be_drawn_flat() -> None:
    picture = picture_of(make_plan(panel_of(SLEEVE | {"darts": [BOXED]})))
    told = " ".join(texts(by_id(picture, "closed")))
    assert "Boxed corners are drawn flat, before they are sewn across" in told
    assert "Darts" not in told


def test_the_lining_is_seen_where_a_cover_is_longer_than_the_bag() -> None:
    plan = make_plan(panel_of(LONG_COVER))
    faces = {
        "body" if "body" in {s.part for s in f.parts} else "cover": f for f in plan.panel.closed
    }
    # by hand: finished body 90 deep from the fold, cover 190, both 180 wide
    assert faces["body"].lining.area == pytest.approx(180 * 100, rel=1e-3)
    assert faces["cover"].lining.area == 0
    assert faces["body"].size == faces["cover"].size == pytest.approx((180, 190))
    told = texts(by_id(picture_of(plan), "closed"))
    assert "lining" in told
    assert "folded flat here" not in " ".join(told)


def test_a_strip_between_flat_folds_is_told_to_be_folded_flat() -> None:
    folds = [{"name": f"fold {y}", "from": [0, y], "to": [200, y]} for y in (120, 180)]
    panel = {"shape": "rectangle", "width": 200, "height": 300, "folds": folds}
    told = " ".join(texts(by_id(picture_of(make_plan(panel_of(panel))), "closed")))
    assert "A strip that stands square in the bag, as a gusset does, is folded flat here" in told


def test_the_sewn_bag_is_smaller_by_its_seams() -> None:
    panel = panel_of(POUCH)
    assert panel.closed_size == pytest.approx((250, 150))
    assert [face.size for face in panel.closed] == [pytest.approx((234, 150))] * 2


def test_an_outer_part_that_is_turned_back_hides_what_it_lies_on() -> None:
    # folded like a fan from the back: front, flap, and a tail that turns back over the flap
    levels = ((100, "low"), (200, "middle"), (300, "top"))
    folds = [{"name": name, "from": [0, y], "to": [80, y]} for y, name in levels]
    parts = [
        {"name": name, "at": [9, y]}
        for name, y in (("front", 9), ("back", 150), ("flap", 250), ("tail", 320))
    ]
    fan = {"shape": "rectangle", "width": 80, "height": 340, "folds": folds, "parts": parts}
    front, _ = panel_of(fan | {"seam_allowance": 0}).closed
    (flap,) = [shown for shown in front.parts if shown.part == "flap"]
    # by hand: the tail, 40 long, turns its lining out over the lower end of the flap
    assert flap.area.area == pytest.approx(80 * 60)
    assert front.lining.area == pytest.approx(80 * 40, rel=1e-3)


@pytest.mark.parametrize(("width", "shrunk"), [(600, 1), (300, 2), (110, 3)])
def test_the_bag_is_drawn_as_large_as_fits(width: float, shrunk: int) -> None:
    panel = panel_of(POUCH)
    band = place_faces(panel, (10, 20), width, tallest=200, em=1.5)
    assert band is not None
    assert band.shrunk == shrunk
    for face, slot in zip(panel.closed, band.slots, strict=True):
        x0, y0, x1, y1 = slot.move.area(shapely.box(*face.bounds)).bounds
        assert (x1 - x0, y1 - y0) == pytest.approx((234 / shrunk, 150 / shrunk))
        assert x0 >= 10 - 1e-9
        assert x1 <= 10 + width + 1e-9
        assert y0 >= 20
        assert y1 <= band.bottom + 1e-9


def test_a_smaller_picture_says_how_much_smaller() -> None:
    plan = pouch()
    band = place_faces(plan.panel, (10, 20), 300, tallest=200, em=1.5)
    assert band is not None
    drawn = draw_closed(plan.panel, make_strands(plan.sewn), band, make_scale(plan), "mm")
    small = read_picture(drawn.tostring().replace("<g", f'<g xmlns="{SVG[1:-1]}"', 1))
    fabric = np.concatenate(polylines(of_class(small, "fabric")[0]))
    assert np.ptp(fabric[:, 0]) == pytest.approx(234 / 2, abs=0.1)
    assert "drawn half size" in " ".join(texts(small))
    assert "drawn full size" in " ".join(texts(by_id(picture_of(plan), "closed")))


def headings(element: Element) -> list[tuple[int, int]]:
    """Directions of the arrows for one-way prints, y up."""
    found = []
    for arrow in of_class(element, "up"):
        line = next(arrow.iter(f"{SVG}line"))
        x1, y1, x2, y2 = (float(line.get(key, "")) for key in ("x1", "y1", "x2", "y2"))
        far = max(abs(x2 - x1), abs(y2 - y1))
        found.append((round((x2 - x1) / far), round((y1 - y2) / far)))
    return found


def test_an_arrow_on_each_part_points_up_in_the_closed_bag() -> None:
    picture = picture_of(pouch())
    assert headings(by_id(picture, "measures")) == [(0, -1), (0, 1), (0, -1)]
    assert "up in the closed bag, for one-way prints" in texts(by_id(picture, "key"))
    assert headings(by_id(picture_of(make_plan(panel_of(WALLET))), "names")) == [(0, 1)] * 3


def test_low_parts_have_their_arrow_beside_the_name() -> None:
    strap = make_plan(panel_of({"shape": "strap", "length": 560, "width": 90}))
    measures = by_id(picture_of(strap), "measures")
    assert headings(measures) == [(0, -1), (0, 1)]
    assert "up in the bag" not in texts(measures)


def test_folds_say_what_they_are_closed_to() -> None:
    panel = panel_of(POUCH)
    lower, upper = panel.folds
    folds = (replace(lower, closed_to="both", gap=6.0), replace(upper, crease=True))
    picture = picture_of(make_plan(replace(panel, folds=folds)))
    told = texts(by_id(picture, "names"))
    said = ["lower fold", "closed to quilting, travel", "foam gap 6 mm", "upper fold", "creased"]
    assert told == said
    (strip,) = of_class(picture, "foam-gap")
    assert shapely.Polygon(polylines(strip)[0]).bounds == pytest.approx((0, 147, 250, 153))
    open_one, closed_one = (
        float(line.get("stroke-width", "")) for line in reversed(of_class(picture, "fold"))
    )
    assert closed_one > 2 * open_one
    key = " ".join(texts(by_id(picture, "key")))
    for sign in ("fold closed to", "strip without foam", "creased fold"):
        assert sign in key
        assert sign not in " ".join(texts(by_id(picture_of(pouch()), "key")))


def test_the_key_tells_distances_and_the_face_that_is_up() -> None:
    key = texts(by_id(picture_of(pouch()), "key"))
    assert "centre 32 mm from cut, 24 mm from finished edge" in key
    assert key.count("marked face up") == 2


def test_runs_of_one_colour_differ_in_their_dashes() -> None:
    scale = make_scale(tiny_plan())
    looks = [
        (run_colour(run), run_dashes(run, scale).get("stroke_dasharray", ""))
        for run in range(DIFFERENT_RUNS)
    ]
    assert len(set(looks)) == DIFFERENT_RUNS == 24


def test_a_runs_row_shows_its_line() -> None:
    plan = pouch()
    assert plan.report.runs > 6
    picture = picture_of(plan)
    rows = of_class(by_id(picture, "key"), "listed-run")
    for run, row in enumerate(rows):
        sample = next(row.iter(f"{SVG}line"))
        line = of_class(by_id(picture, f"run-{run + 1}"), "line")[0]
        for key in ("stroke", "stroke-dasharray", "stroke-width"):
            assert sample.get(key) == line.get(key)


def test_the_key_says_when_looks_come_again() -> None:
    plan = make_plan(panel_of(POUCH), spacing=4, angle=90, lines_per_run=1)
    assert plan.report.runs > DIFFERENT_RUNS
    key = texts(by_id(picture_of(plan), "key"))
    assert "line; run 25 looks like run 1 again" in key
    assert "line; each run has its own look" in texts(by_id(picture_of(pouch()), "key"))


def boxes_of(picture: Element) -> list[tuple[str, shapely.Polygon]]:
    """Each text with the room it takes at the least, letters half an em wide."""
    found = []

    def walk(element: Element, anchor: str) -> None:
        anchor = element.get("text-anchor", anchor)
        if element.tag == f"{SVG}text" and element.text:
            x, y, em = (float(element.get(key, "")) for key in ("x", "y", "font-size"))
            wide = 0.5 * em * len(element.text)
            left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * wide
            found.append((element.text, shapely.box(left, y - 0.6 * em, left + wide, y)))
        for inner in element:
            walk(inner, anchor)

    walk(picture, "start")
    return found


@pytest.mark.parametrize(
    "panel",
    [POUCH, WALLET, LONG_COVER, TOTE, SLEEVE, SET_POUCH, CLOSE_FOLDS, CLOSE_UPRIGHT],
    ids=str,
)
def test_no_words_lie_over_others(panel: dict[str, Any]) -> None:
    picture = picture_of(make_plan(panel_of(panel), lines_per_run=7))
    width, height = (float(picture.get(k, "").removesuffix("mm")) for k in ("width", "height"))
    boxes = boxes_of(picture)
    for (one, here), (other, there) in itertools.combinations(boxes, 2):
        assert not here.overlaps(there), f"{one} over {other}"
        assert not here.contains(there), f"{one} over {other}"
    for text, here in boxes:
        assert shapely.box(0, 0, width, height).covers(here), text


def test_words_over_others_would_be_noticed() -> None:
    picture = picture_of(pouch())
    texts_of_face = list(by_id(picture, "closed-front").iter(f"{SVG}text"))
    for key in ("x", "y"):
        texts_of_face[1].set(key, texts_of_face[0].get(key, ""))
    boxes = boxes_of(picture)
    assert any(
        a.overlaps(b) or a.contains(b) for (_, a), (_, b) in itertools.combinations(boxes, 2)
    )


@pytest.mark.parametrize("name", ["a\x00b\x1b", "\ud800 half", "<b>&amp;", "x" * 300, "\u202egnp"])
def test_any_name_of_a_part_or_fold_is_safe_text(name: str) -> None:
    panel = panel_of(POUCH)
    faces = tuple(
        replace(face, parts=tuple(replace(shown, part=name) for shown in face.parts))
        for face in panel.closed
    )
    parts = tuple(replace(part, name=name) for part in panel.parts)
    folds = tuple(replace(fold, name=name) for fold in panel.folds)
    plan = make_plan(replace(panel, closed=faces, parts=parts, folds=folds), spacing=40)
    text = draw_plan(plan)
    read_picture(text.encode("utf-8").decode("utf-8"))
    assert not re.search("[\x00-\x08\x0b-\x1f\u202e]", text)


def test_no_number_in_the_picture_is_without_end() -> None:
    assert not re.search(r"nan|inf\b", draw_plan(pouch()).lower().split("<text")[0])


def test_a_line_that_only_touches_a_part_leaves_nothing_to_draw() -> None:
    # found on a random panel: here shapely answers with a line without points
    corners = [(0, 0), (-0.001305, 0), (-99.825, 0.013133)]
    seen = shapely.Polygon(np.add(corners, (119.19500000000001, 733.9981329999998)))
    line = np.array([(119.195, 766.484), (119.195, 697.584)])
    strands = Strands(
        points=line, starts=np.array([0, 2]), run=np.array([0]), kind=np.array([int(Kind.LINE)])
    )
    points, starts = seen_thread(strands, Affine(1, 0, 0, 1, 0, 0), seen)
    assert (len(points), starts.tolist()) == (0, [0])

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import shapely

from loftline.values import KIND_WORDS, Fold, Kind, Part, Plan
from loftline.writers import draw_plan
from support_pictures import (
    SVG,
    Element,
    by_id,
    of_class,
    panel_shift,
    polylines,
    read_picture,
    texts,
)
from support_plans import (
    big_plan,
    magnet,
    make_panel,
    make_plan,
    pouch_panel,
    pouch_plan,
    tiny_plan,
)

PLANS: dict[str, Callable[[], Plan]] = {
    "pouch": pouch_plan,
    "pouch in many runs": lambda: make_plan(pouch_panel(), lines_per_run=4),
    "tiny": tiny_plan,
    "wide": lambda: make_plan(make_panel("Roll", shapely.box(0, 0, 900, 200)), spacing=40),
}


@pytest.fixture(params=PLANS)
def plan(request: pytest.FixtureRequest) -> Plan:
    return PLANS[request.param]()


def picture_of(plan: Plan) -> Element:
    return read_picture(draw_plan(plan))


def curves(picture: Element, run: int, kind: Kind) -> list[np.ndarray]:
    """What is drawn of a run and kind."""
    name = f"run-{run + 1}"
    paths = [
        path
        for path in of_class(by_id(picture, "panel"), KIND_WORDS[kind])
        if name in (path.get("class") or "").split()
    ]
    return [curve for path in paths for curve in polylines(path)]


def stitches(plan: Plan, run: int, kind: Kind) -> shapely.MultiLineString:
    """The stitches of a run and kind, one by one."""
    sewn = plan.sewn
    ends = np.flatnonzero((sewn.run == run) & (sewn.kind == kind) & (np.arange(len(sewn)) > 0))
    ends = ends[sewn.run[ends - 1] == run]
    xy = np.column_stack([sewn.x, sewn.y]) / 10
    return shapely.MultiLineString(list(np.stack([xy[ends - 1], xy[ends]], axis=1)))


def test_it_is_drawn_full_size(plan: Plan) -> None:
    picture = picture_of(plan)
    width, height = picture.get("width", ""), picture.get("height", "")
    assert picture.get("viewBox") == f"0 0 {width.removesuffix('mm')} {height.removesuffix('mm')}"
    assert width.endswith("mm")
    assert height.endswith("mm")
    (outline,) = polylines(by_id(picture, "outline")[0])
    drawn = shapely.Polygon(outline)
    assert shapely.hausdorff_distance(drawn, plan.panel.outline) < 0.01
    x, y = panel_shift(picture)
    reach = plan.panel.overhang
    x0, y0, x1, y1 = plan.panel.outline.bounds
    assert 0 < x + x0 - reach < x + x1 + reach < float(width.removesuffix("mm"))
    assert 0 < y - y1 - reach < y - y0 + reach < float(height.removesuffix("mm"))


def test_every_keep_out_is_drawn_in_its_place(plan: Plan) -> None:
    marks = of_class(by_id(picture_of(plan), "keep-outs"), "keep-out")
    assert len(marks) == len(plan.panel.keep_outs)
    for mark, zone in zip(marks, plan.panel.keep_outs, strict=True):
        (edge,), (ring,) = (
            polylines(of_class(mark, name)[0]) for name in ("hard-edge", "clearance")
        )
        assert shapely.hausdorff_distance(shapely.Polygon(edge), zone.outline) < 0.01
        expected = zone.outline.buffer(zone.reach, quad_segs=64)
        assert shapely.hausdorff_distance(shapely.Polygon(ring), expected) < 0.03


def test_all_that_is_sewn_is_drawn_and_nothing_else(plan: Plan) -> None:
    picture = picture_of(plan)
    for run in np.unique(plan.sewn.run).tolist():
        for kind in Kind:
            sewn = stitches(plan, run, kind)
            drawn = curves(picture, run, kind)
            assert bool(drawn) == (not sewn.is_empty)
            if drawn:
                # 0.1 mm left out by thinning, 0.05 mm by rounding
                apart = shapely.hausdorff_distance(sewn, shapely.MultiLineString(drawn), 0.5)
                assert apart < 0.16


def test_straight_lines_are_drawn_from_end_to_end_without_the_points_between() -> None:
    plan = big_plan(spacing=40)
    drawn = [c for run in range(plan.report.runs) for c in curves(picture_of(plan), run, Kind.LINE)]
    assert len(drawn) == len(plan.lines)
    assert {len(curve) for curve in drawn} == {2}


def test_arrows_lie_on_lines_and_point_the_way_they_are_sewn(plan: Plan) -> None:
    sewn = plan.sewn
    xy = np.column_stack([sewn.x, sewn.y]) / 10
    ends = np.flatnonzero((sewn.kind == Kind.LINE) & (np.diff(sewn.run, prepend=-1) == 0))
    pieces = list(shapely.MultiLineString(list(np.stack([xy[ends - 1], xy[ends]], axis=1))).geoms)
    tree = shapely.STRtree(pieces)
    arrows = list(by_id(picture_of(plan), "directions"))
    assert len(arrows) > len(plan.lines) / 3
    for arrow in arrows:
        corners = polylines(arrow)[0]
        near = int(tree.nearest(shapely.Point(corners[0])))
        assert shapely.distance(pieces[near], shapely.Point(corners[0])) < 0.15
        along, sewing = corners[0] - corners[2], xy[ends[near]] - xy[ends[near] - 1]
        cosine = along @ sewing / np.hypot(*along) / np.hypot(*sewing)
        assert cosine > 0.99


def test_each_run_has_its_number_dot_and_bar(plan: Plan) -> None:
    picture = picture_of(plan)
    numbers = by_id(picture, "run-numbers")
    assert texts(numbers) == [str(run + 1) for run in range(plan.report.runs)]
    starts = of_class(by_id(picture, "run-ends"), "run-start")
    first = np.flatnonzero(np.diff(plan.sewn.run, prepend=-1))
    places = [(float(dot.get("cx", "")), float(dot.get("cy", ""))) for dot in starts]
    expected = np.column_stack([plan.sewn.x, plan.sewn.y])[first] / 10
    assert np.allclose(places, expected)
    assert len(of_class(picture, "run-end")) >= plan.report.runs
    rings = [
        (float(disc.get("cx", "")), float(disc.get("cy", "")), float(disc.get("r", "")))
        for disc in numbers.iter(f"{SVG}circle")
    ]
    for i, (x, y, radius) in enumerate(rings):
        assert all(math.dist((x, y), other[:2]) > 1.2 * radius for other in rings[:i])


def test_what_is_sewn_over_again_has_a_sign_of_its_own() -> None:
    plan = pouch_plan()
    line_only = replace(
        plan, sewn=replace(plan.sewn, kind=np.where(plan.sewn.kind == 2, 0, plan.sewn.kind))
    )
    doubled = make_plan(pouch_panel(), lines_per_run=4)
    assert (doubled.sewn.kind == Kind.DOUBLE).any()
    key = texts(by_id(picture_of(doubled), "key"))
    assert "sewn over again" in key
    assert "sewn over again" not in texts(by_id(picture_of(line_only), "key"))
    band = of_class(by_id(picture_of(doubled), "sewn-over-again"), "double")[0]
    line = of_class(by_id(picture_of(doubled), "runs"), "line")[0]
    assert float(band.get("stroke-width", "")) > 3 * float(line.get("stroke-width", ""))


def test_travel_is_dashed_and_thinner_than_lines(plan: Plan) -> None:
    runs = by_id(picture_of(plan), "runs")
    line, travel = of_class(runs, "line")[0], of_class(runs, "travel")[0]
    assert line.get("stroke-dasharray") is None
    assert travel.get("stroke-dasharray")
    assert float(travel.get("stroke-width", "")) < float(line.get("stroke-width", ""))


def test_what_is_fitted_later_is_a_dashed_cross_and_no_keep_out() -> None:
    picture = picture_of(pouch_plan())
    (mark,) = of_class(by_id(picture, "fitted-later"), "piece")
    lines = list(mark.iter(f"{SVG}line"))
    middle = np.mean(
        [[float(line.get(k, "")) for k in ("x1", "y1")] for line in lines]
        + [[float(line.get(k, "")) for k in ("x2", "y2")] for line in lines],
        axis=0,
    )
    assert np.allclose(middle, (228, 276))
    assert all(element.get("stroke-dasharray") for element in mark.iter(f"{SVG}path"))


def test_letters_tie_the_picture_to_the_key() -> None:
    picture = picture_of(pouch_plan())
    shown = texts(by_id(picture, "letters"))
    assert shown == ["A", "A\u2032", "B", "B\u2032", "C", "D"]
    key = texts(by_id(picture, "key"))
    for letter, name in zip(
        shown,
        [
            "left magnet",
            "left magnet, other half",
            "right magnet",
            "right magnet, other half",
            "label",
            "D-ring",
        ],
        strict=True,
    ):
        assert key[key.index(letter) + 1] == name
    assert "20 mm, fitted after lining, stands above" in key
    assert "60 \u00d7 25 mm, needle 3 mm away" in key


def test_allowances_are_told_in_full_beside_the_clearance() -> None:
    plan = pouch_plan()
    first, *others = plan.panel.keep_outs
    wide = replace(first, tolerance=2.0, draw_in=3.03, sits="above", reach=35.0)
    panel = replace(plan.panel, keep_outs=(wide, *others))
    key = texts(by_id(picture_of(replace(plan, panel=panel)), "key"))
    told = " ".join(key[key.index(first.name) + 1 :])
    added = "needle 6.35 mm away + 2 mm for placing + 3.03 mm for shrinking, 35 mm for the foot, "
    assert added + "stands above" in told


def test_parts_and_folds_are_named_beside_the_panel() -> None:
    plan = pouch_plan()
    picture = picture_of(plan)
    assert [part for part in texts(by_id(picture, "measures")) if part.isalpha()] == [
        "front",
        "back",
        "flap",
    ]
    x, _ = panel_shift(picture)
    reach = plan.panel.overhang
    for text in by_id(picture, "names").iter(f"{SVG}text"):
        assert float(text.get("x", "")) > x + 250 + reach
    assert texts(by_id(picture, "names")) == ["lower fold", "upper fold"]


def test_parts_side_by_side_are_named_on_the_panel_and_upright_folds_above_it() -> None:
    left, right = shapely.box(0, 0, 80, 60), shapely.box(80, 0, 200, 60)
    panel = make_panel(
        "Wallet",
        shapely.box(0, 0, 200, 60),
        parts=(Part(name="left", area=left), Part(name="right", area=right)),
        folds=(Fold(name="spine", start=(80, 0), end=(80, 60)),),
    )
    picture = picture_of(make_plan(panel))
    x, y = panel_shift(picture)
    place = {
        text.text: (float(text.get("x", "")) - x, y - float(text.get("y", "")))
        for text in by_id(picture, "names").iter(f"{SVG}text")
    }
    assert left.contains(shapely.Point(place["left"]))
    assert right.contains(shapely.Point(place["right"]))
    assert place["spine"][1] > 60 + panel.overhang


def test_a_long_list_of_runs_tells_how_many_more_there_are() -> None:
    plan = make_plan(
        make_panel("Strip", shapely.box(0, 0, 160, 60)), spacing=2, angle=90, lines_per_run=1
    )
    assert plan.report.runs > 40
    picture = picture_of(plan)
    listed = of_class(by_id(picture, "key"), "listed-run")
    (more,) = [text for text in texts(by_id(picture, "key")) if text.endswith("more")]
    assert more == f"… and {plan.report.runs - len(listed)} more"
    height = float(picture.get("height", "").removesuffix("mm"))
    assert max(float(t.get("y", "")) for t in picture.iter(f"{SVG}text")) < height


def test_the_picture_without_keep_outs_folds_or_overhang_has_no_such_signs() -> None:
    panel = make_panel("Mat", shapely.box(0, 0, 100, 100), overhang=0, seam_allowance=0)
    key = " ".join(texts(by_id(picture_of(make_plan(panel)), "key")))
    for word in ("keep-out", "fold", "trim off", "seam allowance", "fitted"):
        assert word not in key
    assert "direction of sewing" in key


def test_holes_are_cut_out_of_the_fabric() -> None:
    window = shapely.box(80, 80, 130, 120).exterior
    panel = make_panel("Frame", shapely.Polygon(shapely.box(0, 0, 200, 200).exterior, [window]))
    picture = picture_of(make_plan(panel))
    outline = by_id(picture, "outline")[0]
    assert outline.get("fill-rule") == "evenodd"
    shell, hole = polylines(outline)
    drawn = shapely.Polygon(shell, [hole])
    assert shapely.equals(shapely.normalize(drawn), shapely.normalize(panel.outline))


@pytest.mark.parametrize(
    "name",
    [
        '<script>alert("1")</script>',
        "]]> &amp; &bogus;",
        "a\x00b\x1bc\x7f",
        "\ud800 half a pair, \ufffe none at all, \U0010ffff",
        "\u202egnp.exe",
        "x" * 500,
        "袋" * 100,
        "   ",
    ],
)
def test_any_name_is_safe_text(name: str) -> None:
    plan = tiny_plan()
    zone = replace(plan.panel.keep_outs[0], name=name)
    plan = replace(
        plan,
        project=plan.project.model_copy(update={"name": name}),
        panel=replace(plan.panel, name=name, keep_outs=(zone,)),
    )
    text = draw_plan(plan)
    picture = read_picture(text.encode("utf-8").decode("utf-8"))
    assert not picture.findall(f".//{SVG}script")
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", text)
    assert picture.findtext(f"{SVG}title") == " ".join(
        re.sub("[\x00-\x1f\x7f\ud800\ufffe\U0010ffff\u202e]", " ", name).split()
    )


def test_what_the_subtitle_says_of_parts_is_safe_text() -> None:
    plan = tiny_plan()
    (fill,) = plan.project.fills
    odd = plan.project.model_copy(
        update={"fills": (fill.model_copy(update={"part": "up\x07per <b>"}),)}
    )
    title = by_id(picture_of(replace(plan, project=odd)), "title")
    assert "up per <b>: channel" in " ".join(texts(title))


def test_numbers_of_runs_that_start_side_by_side_do_not_cover_each_other() -> None:
    panel = make_panel("Strip", shapely.box(0, 0, 160, 60))
    plan = make_plan(panel, spacing=2, angle=90, lines_per_run=1)
    numbers = by_id(picture_of(plan), "run-numbers")
    discs = [
        shapely.Point(float(d.get("cx", "")), float(d.get("cy", ""))).buffer(float(d.get("r", "")))
        for d in numbers.iter(f"{SVG}circle")
    ]
    assert len(discs) == plan.report.runs > 30
    for i, disc in enumerate(discs):
        assert not any(disc.overlaps(other) for other in discs[:i])


def test_units_are_the_makers_own() -> None:
    plan = tiny_plan()
    inches = replace(plan, project=plan.project.model_copy(update={"units": "in"}))
    picture = picture_of(inches)
    assert "2.36 in" in texts(by_id(picture, "measures"))
    assert texts(by_id(picture, "scale-bar"))[0].startswith("4 in ")
    boxes = list(by_id(picture, "scale-bar").iter(f"{SVG}rect"))
    assert sum(float(part.get("width", "")) for part in boxes) == pytest.approx(101.6)


def test_the_scale_bar_is_100_mm() -> None:
    parts = list(by_id(picture_of(tiny_plan()), "scale-bar").iter(f"{SVG}rect"))
    places = [float(part.get("x", "")) for part in parts]
    assert np.allclose(np.diff(places), 10)
    assert places[-1] + float(parts[-1].get("width", "")) - places[0] == pytest.approx(100)


def test_a_large_panel_makes_no_large_file() -> None:
    plan = big_plan()
    assert len(plan.sewn) > 150_000
    assert len(draw_plan(plan)) < 500_000


def test_letters_beside_small_hardware_do_not_cover_it() -> None:
    panel = make_panel(
        "Caddy", shapely.box(0, 0, 600, 400), (magnet("eyelet", (300, 200), diameter=3),)
    )
    picture = picture_of(make_plan(panel, spacing=30))
    x, y = panel_shift(picture)
    (plate,) = of_class(by_id(picture, "letters"), "plate")
    rect = next(plate.iter(f"{SVG}rect"))
    left, top = float(rect.get("x", "")) - x, y - float(rect.get("y", ""))
    wide, tall = float(rect.get("width", "")), float(rect.get("height", ""))
    label = shapely.box(left, top - tall, left + wide, top)
    assert not label.intersects(panel.keep_outs[0].outline)
    assert label.distance(panel.keep_outs[0].outline) < 30


def test_the_picture_is_the_same_each_time(plan: Plan) -> None:
    assert draw_plan(plan) == draw_plan(plan)

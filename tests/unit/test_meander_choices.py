"""Choices of a meander: from an entry to an exit, loops, a spacing that grows, a quick look."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree
from shapely import LineString, MultiPolygon, Point, Polygon, box

from loftline import make_plan, parse_project
from loftline.errors import ProjectError
from loftline.fills import make_fields, make_lines
from loftline.fills.meander import meander
from loftline.fills.meander.pace import Pace
from loftline.panel import make_panel
from support_meander import (
    REGIONS,
    Area,
    Floats,
    area,
    assert_good,
    away,
    disc,
    dumbbell,
    evenly,
    moved,
    pouch,
    radii,
    random_region,
    sharp_corners,
)

names = pytest.mark.parametrize("name", list(REGIONS))
POUCH = pouch()


def opened(
    region: Area, spacing: float, ends: tuple[tuple[float, float], tuple[float, float]]
) -> Floats:
    (line,), found = meander(region, spacing, 3, ends=ends)
    assert found == ()
    return line


# --- from an entry to an exit


ENDS = {
    "pouch": ((0.0, 200.0), (250.0, 50.0)),
    "square": ((0.0, 0.0), (90.0, 90.0)),
    "square with holes": ((10.0, 0.0), (30.0, 0.0)),
    "L": ((45.0, 60.0), (60.0, 45.0)),
    "disc": ((60.0, 0.0), (-60.0, 0.0)),
    "dumbbell": ((-40.0, 0.0), (160.0, 0.0)),
    "ring": ((60.0, 0.0), (0.0, 60.0)),
}


@names
def test_a_line_leads_from_entry_to_exit(name: str) -> None:
    region, spacing = REGIONS[name]
    line = opened(region, spacing, ENDS[name])
    for end, wanted in ((line[0], ENDS[name][0]), (line[-1], ENDS[name][1])):
        assert np.hypot(*(end - wanted)) < 0.05
        assert region.boundary.distance(Point(end)) < 1e-6


@names
def test_an_open_line_is_simple_inside_and_near_every_place(name: str) -> None:
    region, spacing = REGIONS[name]
    line = opened(region, spacing, ENDS[name])
    assert LineString(line).is_simple
    assert region.buffer(2e-6).covers(LineString(line))
    distance = away(region, [line]) / spacing
    assert np.quantile(distance, 0.95) < 0.54
    assert distance.max() < 1.2


@names
def test_an_open_line_is_round(name: str) -> None:
    region, spacing = REGIONS[name]
    line = opened(region, spacing, ENDS[name])
    bends, places = radii(line, 0.06 * spacing) / spacing, evenly(line, 0.06 * spacing / 4)
    # what is measured on a loop does not hold where the two ends would be joined
    bends, places = bends[12:-12], places[12:-12]
    corners = sharp_corners(region)
    if len(corners):
        bends = bends[cKDTree(corners).query(places)[0] > 0.6 * spacing]
    assert bends.min() > 0.2
    assert np.quantile(bends, 0.01) > 0.28


def test_places_inside_count_as_the_nearest_place_of_the_edge() -> None:
    line = opened(box(0, 0, 90, 90), 9, ((12, 40), (45, 85)))
    assert line[0].round(6).tolist() == [0, 40]
    assert line[-1].round(6).tolist() == [45, 90]


def test_only_the_piece_with_both_ends_holds_the_open_line() -> None:
    region = MultiPolygon([box(0, 0, 60, 70), box(80, 0, 150, 70)])
    lines, found = meander(region, 9, 3, ends=((80, 30), (150, 40)))
    assert found == ()
    assert [np.array_equal(line[0], line[-1]) for line in lines] == [False, True]
    assert lines[0][0].round(6).tolist() == [80, 30]
    assert_good(region, lines[1:])


@pytest.mark.parametrize(
    ("region", "ends", "why"),
    [
        (
            MultiPolygon([box(0, 0, 60, 70), box(80, 0, 150, 70)]),
            ((0, 30), (150, 30)),
            "two separate pieces",
        ),
        (dumbbell(1.0), ((-40, 0), (160, 0)), "too thin"),
    ],
)
def test_ends_that_no_line_can_join_are_told_of_and_lines_closed(
    region: Area, ends: tuple[tuple[float, float], tuple[float, float]], why: str
) -> None:
    lines, found = meander(region, 8, 3, ends=ends)
    assert_good(region, lines)
    assert len(lines) == 2
    (apart,) = [one for one in found if one.code == "ends-not-joined"]
    assert why in apart.message


# --- loops


def crossings(line: Floats) -> int:
    """Places where a closed line crosses itself."""
    pieces = shapely.get_num_geometries(shapely.node(LineString(line)))
    return (int(pieces) - 1) // 2


def test_loops_cross_themselves_and_nothing_else() -> None:
    (line,), found = meander(POUCH, 12, 1, curls=True)
    assert found == ()
    assert POUCH.covers(LineString(line))
    count = crossings(line)
    assert count > 80
    # cut at all crossings: a small ring for each loop, and one piece from each to the next
    pieces = shapely.get_parts(shapely.node(LineString(line)))
    small = pieces[shapely.is_closed(pieces)]
    assert len(small) == count
    assert shapely.area(shapely.polygonize(small)) > 0


def test_loops_are_of_even_size_and_evenly_spaced() -> None:
    (line,), _ = meander(POUCH, 12, 1, curls=True)
    pieces = shapely.get_parts(shapely.node(LineString(line)))
    small = pieces[shapely.is_closed(pieces)]
    size = shapely.length(small)
    assert size.std() / size.mean() < 0.15
    between = shapely.length(pieces[~shapely.is_closed(pieces)])
    assert np.quantile(between, 0.9) < 2.5 * np.median(between)


def test_loops_are_round() -> None:
    (line,), _ = meander(POUCH, 12, 1, curls=True)
    assert np.quantile(radii(line, 0.06 * 12), 0.01) / 12 > 0.2


def test_loops_leave_as_much_line_in_an_area_as_none() -> None:
    plain, _ = meander(POUCH, 12, 1)
    loops, _ = meander(POUCH, 12, 1, curls=True)
    assert 0.9 < LineString(loops[0]).length / LineString(plain[0]).length < 1.35


@pytest.mark.parametrize("number", [3, 7, 12])
def test_loops_stay_inside_any_region(number: int) -> None:
    region, spacing = random_region(number)
    lines, _ = meander(region, spacing, number, curls=True)
    for line in lines:
        assert region.covers(LineString(line))
        small = shapely.get_parts(shapely.node(LineString(line)))
        assert np.count_nonzero(shapely.is_closed(small)) == crossings(line)


# --- a spacing that grows


def graded(start: float, end: float, angle: float) -> tuple[Pace, list[Floats]]:
    pace = Pace.across(start, end, angle, shapely.get_coordinates(POUCH))
    lines, found = meander(POUCH, start, 1, pace=pace)
    assert found == ()
    return pace, lines


@pytest.mark.parametrize(("start", "end", "angle"), [(6, 16, 90), (18, 7, 30), (8, 12, 200)])
def test_a_graded_line_is_near_every_place_for_its_spacing_there(
    start: float, end: float, angle: float
) -> None:
    pace, lines = graded(start, end, angle)
    assert_good(POUCH, lines)
    rng = np.random.default_rng(1)
    places = rng.uniform((0, 0), (250, 410), (8000, 2))
    places = places[shapely.contains_xy(POUCH, places[:, 0], places[:, 1])]
    distance = cKDTree(evenly(lines[0], 0.2)).query(places)[0]
    share = distance / pace.at(places[:, 0] + 1j * places[:, 1])
    assert np.quantile(share, 0.95) < 0.54
    assert share.max() < 1.2


def test_a_graded_line_is_spaced_as_asked_at_both_ends() -> None:
    pace, (line,) = graded(6, 16, 90)
    for low, high in ((20, 100), (280, 350)):
        strip = POUCH.buffer(-8).intersection(box(0, low, 250, high))
        gap = strip.area / strip.intersection(LineString(line)).length
        wanted = float(pace.at(np.array([125 + 0.5j * (low + high)]))[0])
        assert 0.9 < gap / wanted < 1.12


def test_a_spacing_that_grows_to_itself_changes_nothing() -> None:
    pace = Pace.across(9, 9, 0, np.array([[0.0, 0.0], [90.0, 90.0]]))
    one, other = (meander(box(0, 0, 90, 90), 9, 4, pace=p)[0][0] for p in (pace, None))
    assert one.tobytes() == other.tobytes()


# --- a quick look


@names
def test_a_quick_line_is_simple_inside_and_near_every_place(name: str) -> None:
    region, spacing = REGIONS[name]
    lines, found = meander(region, spacing, 7, quality="quick")
    assert found == ()
    assert_good(region, lines)
    assert np.quantile(away(region, lines) / spacing, 0.95) < 0.56


def test_a_quick_line_is_nearly_the_one_that_comes_out() -> None:
    (quick,), _ = meander(POUCH, 12, 7, quality="quick")
    (full,), _ = meander(POUCH, 12, 7)
    (other,), _ = meander(POUCH, 12, 8)
    assert np.mean(moved(quick, full, 12)[1] < 0.35) > 0.9
    assert np.mean(moved(quick, other, 12)[1] < 0.35) < 0.8


def test_a_quick_line_takes_fewer_passes() -> None:
    def passes(quality: str) -> int:
        seen: list[int] = []
        meander(
            box(0, 0, 50, 50),
            10,
            1,
            lambda _name, done, _total: seen.append(done),
            quality="quick" if quality == "quick" else "full",
        )
        return max(seen)

    assert passes("quick") < passes("full") / 2


# --- a keep-out that is dragged


def dragged(x: float, y: float) -> Area:
    return area(box(0, 0, 330, 546).difference(disc(x, y, 9)))


@pytest.mark.parametrize(("quality", "share"), [("quick", 0.005), ("full", 0.02)])
def test_a_dragged_keep_out_changes_the_line_near_it_only(quality: str, share: float) -> None:
    lines = [
        meander(dragged(165 + x, 270), 8, 1, quality="quick" if quality == "quick" else "full")[0][
            0
        ]
        for x in (0, 5)
    ]
    places, shift = moved(lines[0], lines[1], 8)
    far = np.hypot(*(places - (165, 270)).T) / 8
    assert np.mean(shift[far > 8] > 0.1) < share
    assert np.mean(shift[far > 16] > 0.1) < 0.001
    assert np.mean(shift[far < 2] > 0.1) > 0.3


def test_loops_far_from_a_dragged_keep_out_stay_on_their_side() -> None:
    # of these two lines one was walked clockwise, the other counter-clockwise
    before, after = (with_label(at) for at in ((200, 120), (203, 124)))
    places, shift = moved(before, after, 8)
    far = np.hypot(*(places - (201, 122)).T) / 8
    assert np.mean(shift[far > 20] > 0.1) < 0.05


def with_label(at: tuple[float, float]) -> Floats:
    label = {"name": "label", "shape": "rectangle", "at": [*at], "width": 60, "height": 25}
    panel = {"shape": "rectangle", "width": 330, "height": 460}
    fill = {"pattern": "meander", "spacing": 8, "handwriting": "loops"}
    caddy = {"format": 1, "name": "Workbench caddy", "panel": panel, "fills": [fill]}
    found = parse_project({**caddy, "keep_outs": [label]})
    made = make_panel(found)
    return make_lines(found, made, make_fields(found, made), quality="quick").line(0)


# --- in a project


def project(**keys: object) -> dict[str, object]:
    return {
        "format": 1,
        "name": "Spoke pouch",
        "panel": {"shape": "rectangle", "width": 120, "height": 90},
        "fills": [{"pattern": "meander", "spacing": 10, **keys}],
    }


def findings_of(**keys: object) -> set[str]:
    plan = make_plan(parse_project(project(**keys)), effort="quick")
    return {found.code for found in plan.findings if found.severity == "error"}


@pytest.mark.parametrize(
    "keys",
    [
        {"handwriting": "loops"},
        {"entry": [0, 20], "exit": [120, 70]},
        {"entry": [0, 20], "exit": [120, 70], "handwriting": "loops"},
        {"spacing_to": 22, "spacing_towards": 90},
    ],
)
def test_every_choice_can_be_planned(keys: dict[str, object]) -> None:
    assert findings_of(**keys) == set()


def test_a_line_with_loops_is_sewn_in_one_run_straight_through_its_crossings() -> None:
    plan = make_plan(parse_project(project(handwriting="loops")), effort="quick")
    assert len(plan.lines) == 1
    assert plan.report.runs == 1
    assert int(plan.network.required.sum()) == 1
    assert not LineString(plan.lines.points).is_simple


@pytest.mark.parametrize(
    ("keys", "where", "says"),
    [
        ({"entry": [0, 20]}, "exit", "is missing"),
        ({"exit": [0, 20]}, "entry", "is missing"),
        ({"entry": [0, 20], "exit": [0, 20]}, "exit", "found the place of the entry"),
        ({"entry": [900, 20], "exit": [0, 20]}, "entry", "found (900, 20), which lies outside"),
        ({"entry": "left", "exit": [0, 20]}, "entry", 'found "left"'),
        ({"spacing_towards": 90}, "spacing_to", "is missing"),
        ({"spacing_to": 40}, "spacing_to", "from a third of the spacing to three"),
        ({"handwriting": "curly"}, "handwriting", 'should be "plain" or "loops"'),
    ],
)
def test_a_bad_choice_is_refused_in_words(keys: dict[str, object], where: str, says: str) -> None:
    with pytest.raises(ProjectError) as caught:
        findings_of(**keys)
    (fault,) = caught.value.faults
    assert fault.where == f"fills[0].{where}"
    assert says in fault.message


def test_keys_of_a_meander_belong_to_it_alone() -> None:
    document = project()
    document["fills"] = [{"pattern": "channel", "handwriting": "loops"}]
    with pytest.raises(ProjectError, match='only to "meander"'):
        parse_project(document)


def test_ends_and_loops_and_growth_go_together() -> None:
    pace = Pace.across(7, 18, 30, shapely.get_coordinates(POUCH))
    lines, found = meander(POUCH, 7, 1, pace=pace, ends=((60, 0), (200, 0)), curls=True)
    assert not any(one.code == "ends-not-joined" for one in found)
    assert POUCH.buffer(2e-6).covers(LineString(lines[0]))
    assert lines[0][0].round(6).tolist() == [60, 0]


def test_an_empty_region_has_no_line_from_end_to_end() -> None:
    assert meander(Polygon(), 9, 1, ends=((0, 0), (9, 9)), curls=True) == ([], ())


def test_points_lie_close_along_an_open_line() -> None:
    line = opened(box(0, 0, 90, 90), 9, ((0, 40), (45, 90)))
    step = np.hypot(*np.diff(line, axis=0).T)
    assert step.max() <= 0.55
    assert len(evenly(line, 9)) > 80

"""The meander: one line, simple, inside, even, round, and the same every time."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import LinearRing, LineString, MultiPolygon, Polygon, box

from loftline.errors import Cancelled
from loftline.fills.meander import meander
from loftline.fills.meander.depth import depth_grid
from support_meander import (
    REGIONS,
    area,
    assert_good,
    away,
    disc,
    dumbbell,
    inner_gap,
    lattice,
    radii,
    region_line,
    strand_gap,
)

names = pytest.mark.parametrize("name", list(REGIONS))


@names
def test_a_line_is_closed_simple_and_inside(name: str) -> None:
    assert_good(REGIONS[name][0], [region_line(name)])


@names
def test_points_lie_close_and_even_along_a_line(name: str) -> None:
    step = np.hypot(*np.diff(region_line(name), axis=0).T)
    assert step.max() <= 0.5
    assert step.min() > 0.15


@names
def test_a_line_is_as_long_as_its_spacing_asks(name: str) -> None:
    region, spacing = REGIONS[name]
    assert 0.95 < inner_gap(region, region_line(name), spacing) < 1.1


@names
def test_a_line_comes_near_every_place(name: str) -> None:
    region, spacing = REGIONS[name]
    # evenly spaced straight lines would give 0.475 and 0.5
    distance = away(region, [region_line(name)]) / spacing
    assert np.quantile(distance, 0.95) < 0.54
    assert distance.max() < 1.1


@names
def test_bends_are_round_and_strands_apart(name: str) -> None:
    _, spacing = REGIONS[name]
    line = region_line(name)
    bends = radii(line, 0.06 * spacing) / spacing
    assert bends.min() > 0.2
    assert np.quantile(bends, 0.01) > 0.28
    assert strand_gap(line, spacing) / spacing > 0.55


def test_a_line_has_no_grain() -> None:
    for fold in (2, 4, 6):
        measured = [lattice(region_line("disc", seed), 10, fold) for seed in range(4)]
        assert np.mean(measured) < 0.2


def test_same_seed_same_bytes_other_seed_other_line() -> None:
    region, spacing = REGIONS["L"]
    one, again = (meander(region, spacing, 7)[0][0] for _ in range(2))
    assert one.tobytes() == again.tobytes() == region_line("L").tobytes()
    other = meander(region, spacing, 8)[0][0]
    assert LineString(one).hausdorff_distance(LineString(other)) > spacing / 2


def test_a_negative_seed_is_a_seed_of_its_own() -> None:
    region, spacing = REGIONS["L"]
    line = meander(region, spacing, -7)[0][0]
    assert line.tobytes() != region_line("L").tobytes()


def test_each_part_gets_a_line_that_does_not_hang_on_its_neighbours() -> None:
    left, right = box(0, 0, 60, 70), box(80, 0, 150, 70).difference(disc(115, 35, 10))
    lines, findings = meander(area(left.union(right)), 9, 3)
    assert findings == ()
    assert [left.covers(LineString(line)) for line in lines] == [True, False]
    assert right.covers(LineString(lines[1]))
    alone, _ = meander(left, 9, 3)
    assert alone[0].tobytes() == lines[0].tobytes()


def test_a_line_passes_a_neck_that_two_strands_fit_through() -> None:
    region = dumbbell(5.0)
    lines, findings = meander(region, 8, 1)
    assert len(lines) == 1
    assert findings == ()
    assert_good(region, lines)
    assert away(region, lines).max() < 1.5 * 8


def test_a_neck_too_thin_for_two_strands_parts_the_line() -> None:
    region = dumbbell(1.0)
    lines, findings = meander(region, 8, 1)
    assert len(lines) == 2
    (found,) = findings
    assert (found.code, found.where) == ("part-left-bare", "(60, 0)")
    assert_good(region, lines)
    assert not Polygon(lines[0]).intersects(Polygon(lines[1]))


@pytest.mark.parametrize(
    ("region", "place"),
    [
        (box(0, 0, 300, 0.01), "(150, 0)"),
        (box(0, 0, 200, 6), "(100, 3)"),
        (box(0, 0, 4, 4), "(2, 2)"),
        (disc(20, 20, 7), None),
        (Polygon([(0, 0), (100, 1), (0, 2)]), None),
    ],
)
def test_a_part_too_thin_or_small_is_left_bare_with_a_finding(
    region: Polygon, place: str | None
) -> None:
    lines, findings = meander(region, 12, 1)
    assert lines == []
    (found,) = findings
    assert (found.code, found.severity) == ("part-left-bare", "warning")
    assert "12 mm" in found.message
    assert place is None or found.where == place


def test_nothing_to_fill_gives_nothing() -> None:
    assert meander(Polygon(), 12, 1) == ([], ())
    assert meander(MultiPolygon(), 12, 1) == ([], ())


def test_an_arm_too_thin_for_the_line_is_reported_where_it_lies() -> None:
    region = area(box(0, 0, 80, 80).union(box(80, 36, 200, 42)))
    lines, findings = meander(region, 10, 2)
    assert_good(region, lines)
    (found,) = findings
    assert found.code == "part-left-bare"
    x, y = (float(word) for word in found.where.strip("()").split(","))
    assert 110 < x < 190
    assert 36 <= y <= 42


def test_holes_that_all_but_touch_the_edge_or_each_other() -> None:
    holes = [disc(10.01, 45, 10), disc(60, 89, 12), disc(60, 40, 11), disc(82.1, 40, 11)]
    region = area(box(0, 0, 120, 100).difference(shapely.union_all(holes)))
    lines, _ = meander(region, 7, 4)
    assert len(lines) == 1
    assert_good(region, lines)


def test_a_slit_as_thin_as_a_needle_is_not_crossed() -> None:
    slits = [box(20, 30, 90, 30.1), box(60, 55, 60.1, 100), box(25, 60, 40, 60.05)]
    region = area(box(0, 0, 100, 90).difference(shapely.union_all(slits)))
    for seed in range(3):
        lines, _ = meander(region, 9, seed)
        assert len(lines) == 1
        assert_good(region, lines)


def test_a_comb_is_filled_to_the_tips_of_its_wide_teeth() -> None:
    teeth = [box(24.0 * i, 0, 24.0 * i + 16, 90) for i in range(5)]
    region = area(shapely.union_all([box(0, -20, 112, 5), *teeth]))
    lines, findings = meander(region, 8, 6)
    assert (len(lines), findings) == (1, ())
    assert_good(region, lines)
    assert away(region, lines).max() < 1.3 * 8


def test_an_outline_of_ten_thousand_points() -> None:
    turn = np.linspace(0, 2 * np.pi, 10_000, endpoint=False)
    radius = 50 + 8 * np.sin(5 * turn) + 0.05 * np.sin(700 * turn)
    region = Polygon(np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1))
    lines, findings = meander(region, 10, 1)
    assert (len(lines), findings) == (1, ())
    assert_good(region, lines)


def test_an_outline_that_crosses_itself_is_mended_first() -> None:
    bow = Polygon([(0, 0), (100, 80), (100, 0), (0, 80)])
    lines, _ = meander(bow, 8, 1)
    assert len(lines) == 2
    assert_good(area(shapely.make_valid(bow)), lines)


def test_far_from_the_origin_the_line_is_as_good() -> None:
    region = box(1e5, -2e5, 1e5 + 60, -2e5 + 60)
    lines, findings = meander(region, 10, 1)
    assert (len(lines), findings) == (1, ())
    assert_good(region, lines)


def test_progress_counts_up_to_its_total() -> None:
    seen: list[tuple[str, int, int]] = []
    region = MultiPolygon([box(0, 0, 50, 50), box(60, 0, 61, 50), box(70, 0, 120, 50)])
    meander(region, 10, 1, lambda *step: seen.append(step))
    assert {name for name, _, _ in seen} == {"meander"}
    assert len({total for _, _, total in seen}) == 1
    done = [d for _, d, _ in seen]
    assert done == sorted(done)
    assert done[-1] == seen[-1][2]
    assert len(done) > 100


def test_work_can_be_cancelled_at_any_step() -> None:
    def stop_at(count: int) -> int:
        calls = 0

        def step(name: str, done: int, total: int) -> None:
            nonlocal calls
            del name, done, total
            calls += 1
            if calls == count:
                raise Cancelled

        with pytest.raises(Cancelled):
            meander(box(0, 0, 50, 50), 10, 1, step)
        return calls

    assert [stop_at(n) for n in (1, 30, 70, 110)] == [1, 30, 70, 110]


@pytest.mark.parametrize("spacing", [0.0, -3.0, float("nan"), float("inf")])
def test_a_spacing_that_is_no_length_is_refused(spacing: float) -> None:
    with pytest.raises(ValueError, match="spacing of a meander"):
        meander(box(0, 0, 60, 60), spacing, 1)


def test_the_measures_see_a_bad_line() -> None:
    """What the tests above rely on does tell a bad line from a good one."""
    zigzag = np.array([(0, 0), (40, 0), (40, 3), (5, 3), (5, 6), (40, 6), (40, 9), (0, 9), (0, 0)])
    assert radii(zigzag.astype(float), 0.5).min() < 0.5
    assert strand_gap(zigzag.astype(float), 8) < 3.1
    assert lattice(zigzag.astype(float), 8, 4) > 0.9
    assert away(box(0, 0, 40, 40), [zigzag.astype(float)]).max() > 25
    crossed = np.array([(0, 0), (40, 40), (40, 0), (0, 40), (0, 0)], float)
    assert not LinearRing(crossed).is_simple
    with pytest.raises(AssertionError):
        assert_good(box(-1, -1, 41, 41), [crossed])
    with pytest.raises(AssertionError):
        assert_good(box(0, 1, 41, 41), [zigzag.astype(float)])


def test_as_many_depths_are_answered_as_places_are_asked_of() -> None:
    grid = depth_grid(box(0, 0, 20, 20), 1.0, 5.0, 5.0)
    places = np.array([3 + 4j, 10 + 2j, 3 + 4j])
    depth, inward = grid.at(places)
    assert depth.round(6).tolist() == [3, 2, 3]
    assert len(inward) == 3

"""Keep-outs against stitches, both ways."""

from __future__ import annotations

import pytest
import shapely
from shapely import Polygon

from loftline.checks.zones import check_zones
from support_sewn import Places, keep_out, panel, row, sewn, snap

SQUARE = keep_out("label", shapely.box(50, 50, 100, 80), 3, hardware=False)


@pytest.mark.parametrize(
    ("run", "enters"),
    [
        ([(0, 47.1), (200, 47.1)], True),
        ([(0, 47.0), (200, 47.0)], False),
        ([(47.9, 0), (47.9, 46.9)], False),
        ([(46.9, 65), (47, 70)], False),
        ([(46.9, 65), (47.1, 70)], True),
        ([(46, 48), (48, 46)], False),
        ([(45, 70), (75, 90)], True),  # a corner is cut between two clear needle points
        ([(60, 60), (62, 62)], True),
        ([(0, 0), (200, 200)], True),
        ([(75, 78)], True),  # a run of one needle point
        ([(75, 90)], False),
    ],
)
def test_a_run_beside_a_label(run: Places, *, enters: bool) -> None:
    found = check_zones(panel(SQUARE), sewn(run))
    assert [finding.code for finding in found] == ["keep-out-entered"] * enters


def test_reach_is_kept_to_the_micrometre() -> None:
    line = sewn([(0, 100), (200, 100)])
    for reach, count in ((20 - 2e-6, 0), (20, 0), (20 + 0.5e-6, 0), (20 + 2e-6, 1), (20.001, 1)):
        zone = keep_out("box", shapely.box(90, 60, 110, 80), reach)
        assert len(check_zones(panel(zone), line)) == count


def test_moves_between_runs_are_no_stitches() -> None:
    apart = sewn([(0, 65), (10, 65)], [(190, 65), (200, 65)])
    joined = sewn([(0, 65), (10, 65), (190, 65), (200, 65)])
    assert not check_zones(panel(SQUARE), apart)
    assert check_zones(panel(SQUARE), joined)


def test_one_finding_for_each_keep_out_with_place_count_and_distance() -> None:
    zones = panel(snap((60, 100)), SQUARE, snap((150, 150)))
    found = check_zones(zones, sewn(row(198, y=115), row(198, y=48)))
    assert len(found) == 2
    first, second = found
    assert (first.severity, second.severity) == ("error", "error")
    assert first.where == "snap, near (60, 115)"
    assert first.message.startswith("4 stitches come too near to")
    assert "5.997 mm from its hard edge where 6.35 mm" in first.message
    assert "2 mm from its edge where 3 mm" in second.message


def test_a_hole_in_a_keep_out_is_not_hard() -> None:
    outer, inner = shapely.box(20, 20, 180, 180), shapely.box(40, 40, 160, 160)
    ring = Polygon(outer.exterior, [inner.exterior])
    assert not check_zones(panel(keep_out("frame", ring, 10)), sewn(row(50, y=0)))
    inside = sewn([(60, 100), (140, 100)])
    assert not check_zones(panel(keep_out("frame", ring, 10)), inside)
    assert check_zones(panel(keep_out("frame", ring, 21)), inside)


def test_nothing_sewn_and_nothing_kept_out() -> None:
    assert not check_zones(panel(SQUARE), sewn())
    assert not check_zones(panel(), sewn(row(100)))


def test_chunks_do_not_lose_stitches() -> None:
    # one stitch among thousands enters, wherever it lies
    for at in (0, 62, 63, 64, 65, 700, 999):
        points = [(0.0, 3.0 * i) for i in range(1000)]
        points[at] = (10.0, 3.0 * at)
        zone = keep_out("dot", shapely.box(9, 3 * at - 0.5, 10, 3 * at + 0.5), 0.5)
        found = check_zones(panel(zone), sewn(points))
        assert len(found) == 1
        assert f"near (9, {3 * at}" in found[0].where or f"near (10, {3 * at})" in found[0].where

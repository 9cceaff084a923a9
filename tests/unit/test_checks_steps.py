"""Stitch lengths and crowded holes, both ways; and all checks together."""

from __future__ import annotations

import pytest

from loftline.checks import check_sewn
from loftline.checks.density import check_density
from loftline.checks.segments import Stitches
from loftline.checks.steps import check_steps
from loftline.errors import Finding
from loftline.values import Kind, Sewn
from support_sewn import panel, row, sewn, snap


def steps(plan: Sewn, longest: float = 7) -> tuple[Finding, ...]:
    return check_steps(Stitches.of(plan), longest)


@pytest.mark.parametrize(("length", "codes"), [(7.1, []), (7.2, ["stitch-too-long"])])
def test_longest_stitch(length: float, codes: list[str]) -> None:
    found = steps(sewn([(0, 0), (3, 0), (3 + length, 0)]))
    assert [finding.code for finding in found] == codes


def test_longest_stitch_is_named_with_its_place() -> None:
    found = steps(sewn([(0, 0), (8, 0), (8, 9), (11, 9)], row(9)))
    assert len(found) == 1
    assert found[0].severity == "error"
    assert found[0].where == "near (8, 0)"
    assert "2 stitches are longer than the 7 mm" in found[0].message
    assert "the longest 9 mm" in found[0].message


def test_moves_are_not_measured() -> None:
    assert not steps(sewn(row(9), row(9, y=100)))


def test_same_hole_twice() -> None:
    found = steps(sewn([(0, 0), (3, 0), (3, 0), (6, 0), (6, 0)]))
    assert [(finding.code, finding.severity) for finding in found] == [("no-stitch", "error")]
    assert found[0].message.endswith("2 times")
    assert not steps(sewn([(0, 0), (3, 0), (0, 0)]))
    # ties do not excuse it; another run may begin where the last one ended
    assert steps(sewn([(0, 0), (0, 0), (3, 0)], kind=Kind.TIE))
    assert not steps(sewn([(0, 0), (3, 0)], [(3, 0), (6, 0)]))


@pytest.mark.parametrize(
    ("length", "kind", "codes"),
    [
        (0.3, Kind.LINE, []),
        (0.2, Kind.LINE, ["stitch-too-short"]),
        (0.2, Kind.TRAVEL, ["stitch-too-short"]),
        (0.2, Kind.TIE, []),
    ],
)
def test_shortest_stitch(length: float, kind: Kind, codes: list[str]) -> None:
    plan = sewn(
        [(0, 0), (3, 0), (3 + length, 0), (6, 0)], kind=[Kind.LINE, Kind.LINE, kind, Kind.LINE]
    )
    found = steps(plan)
    assert [finding.code for finding in found] == codes
    assert all(finding.severity == "warning" for finding in found)


@pytest.mark.parametrize("plan", [sewn(), sewn([(0, 0)]), sewn([(0, 0)], [(5, 5)])])
def test_nothing_to_sew(plan: Sewn) -> None:
    found = check_sewn(panel(), plan, longest_stitch=7, field=(100, 100))
    assert [(finding.code, finding.severity) for finding in found] == [("nothing-to-sew", "error")]


def star(count: int, radius: float = 0.4) -> Sewn:
    """Lines of three needle points through one hole and its neighbour, all close together."""
    near = [(0.0, 0.0), (radius, 0.0), (-radius, 0.0), (0.0, radius), (0.0, -radius), (0.2, 0.2)]
    return sewn(*([(20.0, 5.0 * i), near[i], (-20.0, 5.0 * i)] for i in range(count)))


def test_four_holes_in_one_place_are_fine_and_five_crowd() -> None:
    assert not check_density(star(4))
    found = check_density(star(5))
    assert [(finding.code, finding.severity) for finding in found] == [("holes-crowded", "warning")]
    assert found[0].where == "near (0, 0)"
    assert "at 1 place, the most 5" in found[0].message


def test_half_a_millimetre_apart_does_not_crowd() -> None:
    assert not check_density(star(5, radius=0.5))


def test_the_same_hole_counts_each_time() -> None:
    def through(times: int) -> Sewn:
        return sewn(*([(30.0, 6.0 * i), (50, 50), (70.0, 6.0 * i)] for i in range(times)))

    assert not check_density(through(4))
    assert "the most 7" in check_density(through(7))[0].message


def test_each_tie_counts_once() -> None:
    tie = [(0.0, 0.0), (0.3, 0.0), (0.0, 0.0), (0.3, 0.0), (0.6, 0.0)]
    line = [(3.6, 0.0), (6.6, 0.0)]
    kinds = [Kind.TIE] * 5 + [Kind.LINE] * 2
    assert not check_density(sewn(*[tie + line] * 1, kind=kinds))
    assert check_density(sewn(tie + line, kind=Kind.LINE))
    # five runs that begin in one hole crowd it
    starts = [[*tie, (3.6, 6.0 * i)] for i in range(5)]
    assert check_density(sewn(*starts, kind=([Kind.TIE] * 5 + [Kind.LINE]) * 5))
    assert not check_density(sewn(*starts[:4], kind=([Kind.TIE] * 5 + [Kind.LINE]) * 4))


def test_places_are_counted() -> None:
    clusters = [
        [(x, y), (x + 0.2, y), (x, y + 0.2), (x + 0.2, y + 0.2), (x + 0.1, y + 0.3)]
        for x, y in ((0.0, 0.0), (50.0, 0.0), (-10.0, 70.0))
    ]
    assert "at 3 places, the most 5" in check_density(sewn(*clusters))[0].message
    assert check_density(sewn()) == ()


def test_all_checks_together_put_errors_first() -> None:
    bad = sewn([(0, 0), (0.1, 0), (60, 0)], row(9, y=3))
    found = check_sewn(panel(snap((30, 10))), bad, longest_stitch=7, field=(20, 20))
    assert [finding.code for finding in found] == [
        "keep-out-entered",
        "field-exceeded",
        "stitch-too-long",
        "stitch-too-short",
    ]
    good = sewn(row(60), row(60, y=80))
    assert check_sewn(panel(snap((30, 40))), good, longest_stitch=7, field=(60, 80)) == ()

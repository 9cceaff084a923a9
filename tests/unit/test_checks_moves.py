"""Moves between runs and the hoop's field, both ways."""

from __future__ import annotations

import pytest
import shapely

from loftline.checks.moves import check_field, check_moves, machine_moves
from support_sewn import NO_PLACES, keep_out, panel, row, sewn

LEFT, RIGHT = row(9), [(190.0, 0.0), (199.0, 0.0)]
RING = keep_out("ring", shapely.box(90, -10, 110, 10), 6.35, sits="above")


def test_move_over_what_sits_above() -> None:
    found = check_moves(panel(RING), sewn(LEFT, RIGHT))
    assert [(finding.code, finding.severity) for finding in found] == [
        ("move-over-hardware", "error")
    ]
    assert found[0].where == "ring, from (9, 0) to (190, 0)"
    assert found[0].message.startswith("1 move of the machine")


@pytest.mark.parametrize("sits", ["inside", "below"])
def test_move_over_what_lies_under_the_fabric(sits: str) -> None:
    under = keep_out("magnet", RING.outline, sits="inside" if sits == "inside" else "below")
    assert not check_moves(panel(under), sewn(LEFT, RIGHT))


def test_move_led_round() -> None:
    round_it = sewn(LEFT, RIGHT, via=[(50, 20), (150, 20)], via_run=[1, 1])
    assert not check_moves(panel(RING), round_it)
    into_it = sewn(LEFT, RIGHT, via=[(50, 20), (100, 5), (150, 20)], via_run=[1, 1, 1])
    assert check_moves(panel(RING), into_it)[0].message.startswith("2 moves")


def test_only_the_hard_edge_counts() -> None:
    # nearer than the clearance, but the foot is up while the machine moves
    assert not check_moves(panel(RING), sewn(row(9, y=10.1), [(199.0, 10.1), (199.0, 30.0)]))
    assert check_moves(panel(RING), sewn(row(9, y=10), [(199.0, 10.0), (199.0, 30.0)]))


def test_move_from_the_origin() -> None:
    assert not check_moves(panel(RING), sewn(LEFT, origin=(-50, 0)))
    assert check_moves(panel(RING), sewn(RIGHT, origin=(0, 0)))
    led = sewn(RIGHT, origin=(0, 0), via=[(0, 50), (199, 50)], via_run=[0, 0])
    assert not check_moves(panel(RING), led)


def test_stitches_are_no_moves() -> None:
    assert not check_moves(panel(RING), sewn([*LEFT, *RIGHT]))
    assert not check_moves(panel(RING), sewn())


def test_all_moves_in_order() -> None:
    plan = sewn(
        [(1, 1), (2, 2)],
        [(5, 5)],
        [(8, 8), (9, 9)],
        via=[(0, 1), (6, 5), (6, 6), (7, 7), (20, 20)],
        via_run=[0, 2, 2, 2, 3],
        origin=(0, 0),
    )
    assert machine_moves(plan).tolist() == [
        [[0, 0], [0, 1]],
        [[0, 1], [1, 1]],
        [[2, 2], [5, 5]],
        [[5, 5], [6, 5]],
        [[6, 5], [6, 6]],
        [[6, 6], [7, 7]],
        [[7, 7], [8, 8]],
        [[9, 9], [20, 20]],
    ]


def test_runs_may_count_on_from_an_earlier_hooping() -> None:
    plan = sewn(LEFT, RIGHT, via=[(50, 20)], via_run=[1])
    later = type(plan)(
        x=plan.x,
        y=plan.y,
        run=plan.run + 7,
        kind=plan.kind,
        via=plan.via,
        via_run=plan.via_run + 7,
        origin=plan.origin,
    )
    assert machine_moves(later).tolist() == machine_moves(plan).tolist()


@pytest.mark.parametrize(
    ("field", "fits"),
    [((99, 10), True), ((98.9, 10), False), ((99, 9.9), False), ((10, 99), False), (None, True)],
)
def test_field(field: tuple[float, float] | None, *, fits: bool) -> None:
    found = check_field(sewn(row(99), row(99, y=10)), field)
    assert [finding.code for finding in found] == ["field-exceeded"] * (not fits)


def test_moves_need_the_field_too() -> None:
    led = sewn(row(99), via=[(50, 30)], via_run=[0])
    assert check_field(led, (99, 30)) == ()
    found = check_field(led, (99, 29))
    assert found[0].message == "the quilting needs 99 x 30 mm, the hoop holds 99 x 29 mm"
    assert check_field(sewn(NO_PLACES), (1, 1)) == ()

"""Needle points made by hand, and dst records by the printed bit table, for tests."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from hypothesis import strategies as st

from loftline.values import Ints, Sewn

EXTS = ("dst", "exp", "jef", "pes", "vp3", "u01", "xxx", "gcode")
STEP = {
    "dst": 121,
    "exp": 127,
    "jef": 127,
    "pes": 400,
    "vp3": 255,
    "u01": 127,
    "xxx": 123,
    "gcode": 400,
}
"""Tenths of a millimetre that tests step at most on each axis."""

Place = tuple[int, int]

# The printed table, byte by byte, highest bit first. Source: achatina.de, page DST.
TABLE = (
    ("y+1", "y-1", "y+9", "y-9", "x-9", "x+9", "x-1", "x+1"),
    ("y+3", "y-3", "y+27", "y-27", "x-27", "x+27", "x-3", "x+3"),
    ("jump", "colour", "y+81", "y-81", "x-81", "x+81", "1", "1"),
)
BITS = {
    word: (byte, 7 - place)
    for byte, words in enumerate(TABLE)
    for place, word in enumerate(words)
    if word != "1"
}


def encode_dst(dx: int, dy: int, *, jump: bool = False) -> bytes:
    """One record, looked up in the printed table: the digits of balanced ternary."""
    record = [0, 0, 0b11]
    if jump:
        record[BITS["jump"][0]] |= 1 << BITS["jump"][1]
    for axis, rest in (("x", dx), ("y", dy)):
        left = rest
        for weight in (81, 27, 9, 3, 1):
            reach = (weight - 1) // 2  # what the smaller weights can still make
            sign = (left > reach) - (left < -reach)
            left -= sign * weight
            if sign:
                byte, bit = BITS[f"{axis}{'+' if sign > 0 else '-'}{weight}"]
                record[byte] |= 1 << bit
        assert left == 0, f"{axis} {rest} is too far for one record"
    return bytes(record)


def dst_file(*records: bytes) -> bytes:
    """A dst file of the given records with a bare header and an end."""
    return b"LA:test".ljust(512) + b"".join(records) + bytes.fromhex("0000F3")


def sewn_of(
    runs: Sequence[Sequence[Place]],
    *,
    via: Sequence[Sequence[Place]] = (),
    origin: Place = (0, 0),
) -> Sewn:
    """Needle points run by run; ``via[i]`` are the places on the way to run ``i``."""
    points = np.array([p for run in runs for p in run], np.int64).reshape(-1, 2)
    places = np.array([p for stop in via for p in stop], np.int64).reshape(-1, 2)
    return Sewn(
        x=points[:, 0],
        y=points[:, 1],
        run=np.repeat(np.arange(len(runs)), [len(run) for run in runs]),
        kind=np.zeros(len(points), np.int64),
        via=places,
        via_run=np.repeat(np.arange(len(via)), [len(stop) for stop in via]),
        origin=origin,
    )


@st.composite
def sewn_values(draw: st.DrawFn, ext: str, *, jumps: bool = True) -> Sewn:
    """Random runs inside 160 mm by 160 mm around the origin, with places between them."""
    reach, step = 800, STEP[ext]
    coordinate = st.integers(-reach, reach)
    place = st.tuples(coordinate, coordinate)
    move = st.tuples(st.integers(-step, step), st.integers(-step, step))
    origin = draw(st.tuples(st.integers(-3000, 3000), st.integers(-3000, 3000)))
    runs: list[list[Place]] = []
    via: list[list[Place]] = []
    here = (0, 0)
    for _ in range(draw(st.integers(1, 6))):
        first = draw(st.one_of(place, st.just(here)))
        stops = draw(st.lists(place, max_size=3)) if jumps else []
        via.append(_sound(stops, here, first))
        run = [first]
        for dx, dy in draw(st.lists(move, max_size=8)):
            x, y = run[-1][0] + dx, run[-1][1] + dy
            run.append((min(reach, max(-reach, x)), min(reach, max(-reach, y))))
        runs.append(run)
        here = run[-1]

    def shift(places: list[Place]) -> list[Place]:
        return [(x + origin[0], y + origin[1]) for x, y in places]

    return sewn_of([shift(r) for r in runs], via=[shift(v) for v in via], origin=origin)


def _sound(stops: list[Place], here: Place, first: Place) -> list[Place]:
    """Places that a plan has: none on the needle points beside, none twice in a row."""
    kept: list[Place] = []
    for stop in stops:
        near = max(abs(stop[0] - here[0]), abs(stop[1] - here[1])) <= 5
        if not near and stop != first and stop not in kept[-1:]:
            kept.append(stop)
    return kept


def assert_same_moves(planned: Sewn, read: Sewn) -> None:
    """The file stops at every planned place, in order, and strays nowhere between them.

    Long moves are written in pieces, so a file may stop more often than was planned; each
    such stop must lie on the planned move to 0.1 mm.
    """
    zero = np.array(planned.origin)
    points = np.column_stack((planned.x, planned.y)) - zero
    starts = np.flatnonzero(np.diff(planned.run, prepend=-1))
    for number, start in enumerate(starts.tolist()):
        before = points[start - 1] if start else np.zeros(2, np.int64)
        route = [before, *(planned.via[planned.via_run == number] - zero), points[start]]
        legs = list(pairwise(route))
        for stop in read.via[read.via_run == number]:
            assert _beside(stop, *legs[0]) <= 1, f"{stop} is not on the way {legs[0]}"
            if np.array_equal(stop, legs[0][1]):
                legs.pop(0)
        assert len(legs) == 1, f"not all places on the way to run {number} were passed"


def _beside(p: Ints, a: Ints, b: Ints) -> float:
    """Distance of a point from a segment."""
    along = b - a
    square = float(along @ along)
    share = min(1.0, max(0.0, float((p - a) @ along) / square)) if square else 0.0
    return float(np.hypot(*(p - a - share * along)))

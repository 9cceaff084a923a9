"""What each stitch format holds and loses, found by writing files and decoding them again.

``tests/make_docs.py`` puts the table into ``docs/formats.md``.
"""

from __future__ import annotations

import string
from collections.abc import Callable, Sequence

import numpy as np

from loftline.values import Sewn
from loftline.writers.stitch_files import FORMATS, limit, write_stitch_file
from support_decoders import DECODERS, decode
from support_stitch_files import sewn_of

HEADS = (
    *("format", "needle points", "stitch, each axis", "whole size", "between two runs"),
    *('`at_cuts = "stop"`', "way round hardware", "letters of the name", "thread"),
    "bytes for 10 000 needle points in 200 runs",
)
RUNS = [[(0, 0), (30, 0), (60, 10)], [(400, 300), (430, 310), (400, 300)], [(-50, 0)]]
PLACE = (333, 44)
MOST = 1_000_000
LETTERS = string.ascii_uppercase + string.ascii_lowercase


def format_table() -> list[str]:
    """Rows of the table, its head first."""
    rows = [HEADS, ["---"] * len(HEADS), *(_row(ext) for ext in FORMATS)]
    return [f"| {' | '.join(row)} |" for row in rows]


def _row(ext: str) -> Sequence[str]:
    return (
        ext,
        _exact(ext),
        _up_to(_greatest(lambda n: _holds(ext, [[(0, 0), (n, -n)]]))),
        _up_to(2 * _greatest(lambda n: _holds(ext, [[(-n, -n)], [(n, n)]]))),
        _between(ext),
        _waits(ext),
        "yes" if _passes(ext) else "no: straight moves only",
        str(_letters(ext)),
        "yes" if b"33.3 tex" in _write(ext, sewn_of(RUNS)) else "no",
        f"{_size(ext):,}".replace(",", " "),
    )


def _write(ext: str, sewn: Sewn, at_cuts: str = "trim", name: str = "try") -> bytes:
    return write_stitch_file(ext, sewn, name=name, at_cuts=at_cuts, thread_tex=33.3)


def _holds(ext: str, runs: list[list[tuple[int, int]]], at_cuts: str = "trim") -> bool:
    return limit(ext, sewn_of(runs), at_cuts=at_cuts) is None


def _greatest(holds: Callable[[int], bool]) -> int | float:
    """The greatest number that is held, or infinity."""
    if holds(MOST):
        return np.inf
    low, high = 1, MOST
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _up_to(tenths: float) -> str:
    if tenths == np.inf or tenths >= MOST:
        return "any"
    return f"{tenths / 10:.1f} mm"


def _exact(ext: str) -> str:
    """Whether every needle point comes back from some hundred at random."""
    rng = np.random.default_rng(5)
    points = np.cumsum(rng.integers(-100, 101, (600, 2)), axis=0) % 1600 - 800
    near = np.abs(np.diff(points, axis=0, prepend=points[:1])).max(axis=1) <= 100
    cuts = np.flatnonzero(~near)
    runs = [[(int(x), int(y)) for x, y in run] for run in np.split(points, cuts) if len(run)]
    found, begins, _ = decode(ext, _write(ext, sewn_of(runs)))
    kept = found == [place for run in runs for place in run]
    return "all" if kept and begins == cuts.tolist() else "NOT ALL"


def _between(ext: str) -> str:
    """What stands between the last stitch of a run and the first of the next."""
    kinds = [kind for kind, _, _ in DECODERS[ext](_write(ext, sewn_of(RUNS)))]
    stitches = [at for at, kind in enumerate(kinds) if kind == "stitch"]
    gap = kinds[stitches[2] + 1 : stitches[3]]
    if "cut" in gap:
        return "a mark for the cut"
    return "three small jumps, a move" if ext == "dst" else "a move without sewing"


def _waits(ext: str) -> str:
    data = _write(ext, sewn_of(RUNS), at_cuts="stop")
    assert decode(ext, data)[2] == [3, 6]
    most = _greatest(
        lambda n: limit(ext, sewn_of([[(0, 0)]] * min(n, 2000)), at_cuts="stop") is None
    )
    return "waits" if most == np.inf else f"waits, up to {most} runs"


def _passes(ext: str) -> bool:
    """Whether a move between runs can be led over a place of our choosing."""
    if limit(ext, (led := sewn_of(RUNS, via=[[], [PLACE], []])), at_cuts="trim") is not None:
        return False
    x = y = 0
    passed = []
    for _, dx, dy in DECODERS[ext](_write(ext, led)):
        x, y = x + dx, y + dy
        passed.append((x, y))
    return PLACE in passed


def _letters(ext: str) -> int:
    data = _write(ext, sewn_of(RUNS), name=LETTERS)
    kept = [
        n
        for n in range(3, len(LETTERS) + 1)
        if any(LETTERS[:n].encode(code) in data for code in ("ascii", "utf-16-be", "utf-16-le"))
    ]
    return max(kept, default=0)


def _size(ext: str) -> int:
    row = [(30 * (n % 50) - 750, 7 * (n // 50) - 700) for n in range(10_000)]
    return len(_write(ext, sewn_of([row[at : at + 50] for at in range(0, len(row), 50)])))

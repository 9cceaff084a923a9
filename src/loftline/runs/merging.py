"""The best of several walks: the least walk along edges that one of them uses.

Good walks are mostly alike, and where they differ one is better here and another there. All
edges together that any of them walks make a network far narrower than the whole, and the
least walk of that is found by a sweep (tour merging: Cook & Seymour, INFORMS Journal on
Computing 15, 2003).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from loftline.errors import Step
from loftline.runs.fronts import find_front
from loftline.runs.rural import Rural
from loftline.runs.sweep import Swept, sweep
from loftline.values import Bools, Ints

_MOST_NODES, _STARTS = 19, 13
"""Open at once at most, and places where the search for a narrow front begins."""


def merge_walks(
    rural: Rural, walks: list[Ints], known: int, *, work: int, step: Step
) -> tuple[Ints | None, int]:
    """A better walk than is known, and how many states were looked at for it.

    Args:
        rural: the task.
        walks: ``(m,)`` each.
        known: cost of the best walk known, in thousandths.
        work: how many states may be looked at.
        step: progress callback.

    Returns:
        ``None`` where there is none, or their edges together are too wide for a sweep.
    """
    kept = rural.piece[rural.u] == rural.piece[rural.v]
    for walked in walks:
        kept |= walked > 0
    found = _swept_along(rural, kept, known, work, step)
    if found is None or found.walked is None:
        return None, 0 if found is None else found.states
    out = np.zeros(len(rural.u), np.int64)
    out[kept] = found.walked
    return out, found.states


def _swept_along(rural: Rural, kept: Bools, known: int, work: int, step: Step) -> Swept | None:
    """The same along some of the edges alone."""
    at = np.flatnonzero(kept)
    most = rural.most[at]
    small = replace(
        rural,
        u=rural.u[at],
        v=rural.v[at],
        cost=rural.cost[at],
        most=most,
        origin=rural.origin[at],
        column=np.concatenate([np.arange(len(at)), np.flatnonzero(most == 2)]),
    )
    front = find_front(small, _MOST_NODES, _STARTS, step)
    return None if front is None else sweep(small, front, known, work=work, step=step)

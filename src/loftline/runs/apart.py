"""A bound in two parts, for panels too large for a relaxation: the rings, and what lies beside.

Rings with rings alone beside them, with their steps, share no edge with the rest of the
network. What is walked on either side can be bounded by itself, the least of each added up:
the rest by its least T-join, where every node that a step leads away from may be odd for
nothing; the rings by a sweep, the rest taken for one node that runs end in for nothing.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from loftline.errors import Step
from loftline.runs.between import least_parted, merged
from loftline.runs.facets import stretches
from loftline.runs.parity import MICRO
from loftline.runs.rural import Rural
from loftline.runs.task import Task
from loftline.values import Bools

_WORK = 2_000_000
"""States to look at."""


def least_apart(task: Task, rural: Rural, inner: Bools, known: int, *, step: Step) -> int:
    """What no plan costs less than, in thousandths.

    Args:
        task: of runs, not of a closed tour.
        rural: its smallest form.
        inner: ``(pieces,)`` rings with rings alone beside them.
        known: cost of the best plan known.
        step: progress callback.
    """
    beside = _beside(task, inner, step)
    found = least_parted(_rings(rural, inner), known - beside, work=_WORK, step=step)
    return min(known, beside + found.bound)


def _beside(task: Task, inner: Bools, step: Step) -> int:
    """The least T-join of what is not the rings'."""
    if task.end_cost is None:
        return 0
    on_ring = (task.piece >= 0) & inner[task.piece]
    mine = on_ring[task.u] | on_ring[task.v]
    if not (task.required & ~mine).any():
        return 0
    met = np.zeros(task.n, bool)
    met[task.u[mine]] = met[task.v[mine]] = True
    ends = np.where(met, 0.0, task.end_cost)
    rest = Task(task.u, task.v, task.cost / MICRO, task.required & ~mine, ends, ~task.may | mine)
    return rest.least_links(step, None)[1]


def _rings(rural: Rural, inner: Bools) -> Rural:
    """The rings, and one node for all else but the ways that a ring alone meets."""
    name = stretches(rural, inner, rounds=0)
    on_ring = (rural.piece >= 0) & inner[rural.piece]
    used, inverse, size = np.unique(name, return_inverse=True, return_counts=True)
    # ways round a keep-out are one node by then, where there are more than one
    kept = on_ring | ((rural.piece < 0) & (size[inverse] > 1))
    names, number = np.unique(rural.piece[on_ring], return_inverse=True)
    piece = np.full(rural.size, len(names))
    piece[on_ring] = number
    piece[kept & ~on_ring] = -1
    whole = replace(
        rural,
        odd=rural.odd & on_ring,
        piece=piece,
        pieces=len(names) + 1,
        origin=np.zeros(len(rural.u), np.int64),
    )
    return merged(whole, np.where(kept, name, int(used.max()) + 1)).rural

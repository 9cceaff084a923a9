"""What to walk besides the required edges: one method after another, until the gap is closed.

The least T-join first, then a sweep, then searches and proofs; each hands on the best plan and
the best bound so far.
"""

from __future__ import annotations

import numpy as np

from loftline.errors import Step
from loftline.runs.apart import least_apart
from loftline.runs.fronts import find_front
from loftline.runs.mending import mended
from loftline.runs.nesting import inner_rings, join_rings, rings_of
from loftline.runs.parity import MICRO
from loftline.runs.proof import UNKNOWN, prove
from loftline.runs.rural import Rural
from loftline.runs.searching import LineSearch, patched
from loftline.runs.sweep import ENOUGH, sweep
from loftline.runs.task import Task
from loftline.values import Ints

_MOST_EDGES = 5000
"""Larger networks in pieces are joined by search alone."""

_MOST_SWEPT = 400_000
"""So many edges are looked at for a narrow front."""

_MOST_WITH_RINGS = 1_000_000
"""Larger networks are not looked through for rings."""

_CLOSE = 0.03
"""A gap of this share of what can be saved is let be, on large panels with rings."""

_CLOSE_BESIDE = 0.025
"""The same of the whole cost, on panels with rings beside other lines."""

_SMALL = 300
"""So few edges are always proved to the end."""

_AFTER_RINGS = 0.1
"""Rings that are joined nearly as well as can be are not searched over again."""

_APART = "the required edges cannot be joined by one closed tour"


def least_extra(
    task: Task, nearest: int | None, effort: float, seed: int, step: Step
) -> tuple[Ints, int]:
    """Edges to walk besides the required ones, and a proved least cost of these and the ends.

    Args:
        task: the network and what its plan must fulfil.
        nearest: as of :func:`~loftline.runs.planning.plan_network`.
        effort: the same.
        seed: the same.
        step: progress callback.

    Raises:
        ValueError: where no closed tour joins what must be walked.
    """
    links, bound = task.least_links(step, nearest)
    if links is None:
        raise ValueError(_APART)
    best = _Best(task, bound)
    best.take(task.deadhead(links, step))
    if best.paid > bound:
        bound = max(bound, _joined(best, links, effort, seed, step))
    if best.paid >= UNKNOWN:
        raise ValueError(_APART)
    return best.extra, bound


def _joined(best: _Best, links: Ints, effort: float, seed: int, step: Step) -> int:
    """Look for the best edges where the least T-join leaves pieces; a proved least cost."""
    bound = _swept(best, step)
    return bound if best.paid <= bound else _searched(best, links, bound, effort, seed, step)


def _searched(best: _Best, links: Ints, bound: int, effort: float, seed: int, step: Step) -> int:
    """The same where a sweep has not ended the work."""
    task = best.task
    alone = False
    lines = LineSearch.of(task, links, step)
    if lines is not None:
        best.take(task.deadhead(lines.links, step))
    rings = lines is None and task.ends is not None and task.size() <= _MOST_WITH_RINGS
    if rings and effort > 0:
        # closed lines inside each other have a search of their own
        nested, alone = _rings(best, effort, seed, step)
        bound = max(bound, nested)
        # a share of what can be saved: the first run's ends cannot
        cheapest = 0 if task.ends is None else 2 * int(task.ends.min())
        avoidable = best.paid - cheapest
        if bound and best.paid - bound <= _CLOSE * avoidable and task.size() > _SMALL:
            return bound
        effort *= _AFTER_RINGS if alone else 1.0
    proving = task.size() <= _MOST_EDGES and effort > 0
    if proving:
        rural = task.rural()
        walked = task.walk(rural, best.extra) if best.paid < UNKNOWN else None
        proved = prove(
            rural,
            best.paid,
            walked=walked,
            floor=bound,
            close=_CLOSE_BESIDE if rings and bound else 0.0,
            effort=effort,
            seed=seed,
            step=step,
        )
        bound = max(bound, proved.bound)
        best.take_walk(rural, proved.walked)
    if best.paid <= bound:
        return bound
    rng = np.random.default_rng(seed)
    if lines is not None:
        # where a proof has rounded its relaxed walks, disturbances seldom find more
        lines.kick(rng, bound, step, min(1.0, effort) if proving else 1.0)
        best.take(task.deadhead(lines.links, step))
    elif not proving and not alone:
        _patched(best, effort if bound == 0 else 0.0, rng, step)
    return bound


def _patched(best: _Best, effort: float, rng: np.random.Generator, step: Step) -> None:
    """Take a patched T-join, and what regions make of the best walk."""
    task = best.task
    patch = patched(task, rng, step)
    if patch is not None:
        best.take(task.deadhead(patch, step))
    if effort <= 0 or best.paid >= UNKNOWN or best.paid - best.least <= _CLOSE * best.paid:
        return
    step("joining", 0, 1)
    walked = task.walk(task.rural(), best.extra)
    if walked is not None:
        best.take_walk(task.rural(), mended(task.rural(), walked, effort, rng, step))


def _swept(best: _Best, step: Step) -> int:
    """Take what a sweep finds; a proved least cost, 0 where the network is too wide for it."""
    if best.task.size() > _MOST_SWEPT:
        return 0
    rural = best.task.rural()
    front = find_front(rural, step=step)
    if front is None:
        return 0
    swept = sweep(rural, front, best.paid, work=ENOUGH * len(rural.u), step=step)
    best.take_walk(rural, swept.walked)
    return swept.bound


def _rings(best: _Best, effort: float, seed: int, step: Step) -> tuple[int, bool]:
    """Take what joins rings within rings.

    Returns:
        A proved least cost, 0 for none, and whether there are rings alone.
    """
    task = best.task
    rural = task.rural()
    ring = rings_of(rural)
    if not ring.any():
        return 0, False
    planned = None
    on_ring = (task.piece >= 0) & ring[task.piece]
    others = task.required & ~on_ring[task.u]
    if others.any():
        # what is no ring is planned by itself, and the rings are joined to it
        rest = Task(task.u, task.v, task.cost / MICRO, others, task.end_cost, ~task.may)
        extra, _ = least_extra(rest, None, effort, seed, step)
        planned = rest.walk(rural, extra)
    nested = join_rings(rural, planned=planned, effort=effort, seed=seed, step=step)
    bound = 0
    if nested is not None:
        step("joining", 0, 1)
        best.take_walk(rural, nested.walked)
        bound = nested.bound
    if others.any() and task.size() > _MOST_EDGES:
        # no relaxation is made of so large a network
        step("joining", 0, 1)
        inner = inner_rings(rural, ring)
        step("joining", 0, 1)
        bound = max(bound, least_apart(task, rural, inner, best.paid, step=step))
    return bound, nested is not None and planned is None


class _Best:
    """The cheapest edges seen so far, and what the least T-join proves."""

    def __init__(self, task: Task, least: int) -> None:
        self.task = task
        self.least = least
        self.extra: Ints = np.zeros(0, np.int64)
        self.paid = UNKNOWN

    def take(self, extra: Ints) -> None:
        """Keep edges that make a tour, if it is cheaper."""
        paid = self.task.paid(extra)
        if paid is not None and paid < self.paid:
            self.extra, self.paid = extra, paid

    def take_walk(self, rural: Rural, walked: Ints | None) -> None:
        """The same for a walk of the smallest form, if there is one."""
        if walked is not None:
            found = np.repeat(rural.origin, walked)
            self.take(found[found >= 0])

"""Plan a network: what is asked is looked through, solved, and told as walks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.errors import Step, does_nothing
from loftline.runs.parity import MICRO
from loftline.runs.solving import least_extra
from loftline.runs.task import Task
from loftline.runs.trails import make_trails
from loftline.values import Bools, Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Walks:
    """An answer of :func:`plan_network`.

    Attributes:
        walks: edge indices of each run in sewing order.
        directions: for each walk, whether each edge is walked from u to v.
        cost: all walks with required edges and cuts counted in.
        least_cost: a proved lower bound of ``cost``.
        optimal: true only where the two are proved equal.
    """

    walks: list[list[int]]
    directions: list[list[bool]]
    cost: float
    least_cost: float
    optimal: bool


def plan_network(
    u: Ints,
    v: Ints,
    cost: Floats,
    required: Bools,
    cut_cost: float | None = None,
    *,
    end_cost: Floats | None = None,
    once: Bools | None = None,
    heading: Floats | None = None,
    nearest: int | None = None,
    effort: float = 1.0,
    seed: int = 0,
    step: Step = does_nothing,
) -> Walks:
    """Sew every required edge with as little else as can be.

    The Chinese or rural postman problem: without ``cut_cost`` one closed tour, with it any
    number of open runs, each at that price.

    Args:
        u: ``(m,)`` one end of each edge, node numbers from 0.
        v: ``(m,)`` the other end.
        cost: ``(m,)`` cost of walking each edge, at least 0; counted in whole thousandths, as
            prices of ends are.
        required: ``(m,)`` edges that must be walked at least once. There may be parallel
            edges, loops, and parts that nothing joins.
        cut_cost: price of a run; ``None`` asks for one closed tour.
        end_cost: ``(n,)`` what a run's end costs at each node, more than 0; half of
            ``cut_cost`` where not given.
        once: ``(m,)`` edges that may not be walked besides being required.
        heading: ``(2 m,)`` direction in radians in which each edge leaves u and v; trails go
            straight on where there is a choice.
        nearest: link each line end only to so many of its nearest; quicker where a cut is very
            dear, and no more is then proved of connected lines than how many runs are needed.
        effort: how long to search and prove where the required edges lie in pieces; 1 is a
            few seconds at most, 0 is the quickest. Counted in steps, never in seconds.
        seed: for ties among equal links.
        step: progress callback.

    Returns:
        The walks. ``least_cost`` is the least T-join where the required edges hang together,
        and then it is met; else the best bound by cuts.

    Raises:
        ValueError: when arrays do not fit, a cost is negative or not finite, nothing is
            required, or a closed tour is asked for where the required edges cannot be joined.

    The bridges of Koenigsberg (Euler 1736): seven bridges, two walked twice.

    >>> ends = np.array([(0, 1), (0, 1), (0, 2), (0, 2), (0, 3), (1, 3), (2, 3)])
    >>> plan_network(ends[:, 0], ends[:, 1], np.ones(7), np.ones(7, bool)).cost
    9.0

    Two rungs of 10 must be walked, the rails of 1 between them may be: as a closed tour, and
    as runs at 5 each.

    >>> u, v, cost = np.array([0, 2, 0, 1]), np.array([1, 3, 2, 3]), np.array([10.0, 10, 1, 1])
    >>> plan_network(u, v, cost, cost > 1).cost
    22.0
    >>> walks = plan_network(u, v, cost, cost > 1, 5.0)
    >>> walks.cost, walks.least_cost, walks.optimal, len(walks.walks)
    (26.0, 26.0, True, 1)
    """
    u, v, cost, required = _checked(u, v, cost, required)
    ends = _checked_ends(u, v, cut_cost, end_cost)
    task = Task(u, v, cost, required, ends, once)
    step("runs", 0, 3)
    extra, bound = least_extra(task, nearest, effort, seed, step)
    step("runs", 1, 3)
    copies = np.concatenate([np.flatnonzero(required), extra])
    turned = np.zeros(2 * len(u)) if heading is None else np.asarray(heading, float)
    halves = np.column_stack([2 * copies, 2 * copies + 1]).ravel()
    travel = np.arange(len(copies)) >= len(copies) - len(extra)
    if ends is not None:
        # a corner belongs where a run's end does: in the waste, not beside a keep-out
        cheap = ends <= ends[u].min()
        travel &= cheap[u[copies]] & cheap[v[copies]]
    trails = make_trails(u[copies], v[copies], turned[halves], step, travel=travel)
    step("runs", 2, 3)
    walks = [copies[edges] for edges, _ in trails]
    directions = [forward for _, forward in trails]
    needed = float(cost[required].sum())
    paid = float(cost[extra].sum())
    if ends is not None:
        for i, (walk, forward) in enumerate(zip(walks, directions, strict=True)):
            first = np.where(forward, u[walk], v[walk])
            last = int(v[walk[-1]] if forward[-1] else u[walk[-1]])
            if first[0] == last:
                # a closed run begins where that is cheapest
                turn = int(ends[first].argmin())
                walks[i], directions[i] = np.roll(walk, -turn), np.roll(forward, -turn)
                paid += 2 * float(ends[first[turn]])
            else:
                paid += float(ends[first[0]] + ends[last])
    least = min(bound / MICRO, paid)
    # what is proved equal is told as equal: the two differ by rounding to thousandths alone
    optimal = bool(paid - least <= 0.001 * (len(extra) + 2 * len(trails) + 1))
    return Walks(
        walks=[walk.tolist() for walk in walks],
        directions=[forward.tolist() for forward in directions],
        cost=needed + paid,
        least_cost=needed + (paid if optimal else least),
        optimal=optimal,
    )


def _checked(u: Ints, v: Ints, cost: Floats, required: Bools) -> tuple[Ints, Ints, Floats, Bools]:
    u, v = np.asarray(u, np.int64), np.asarray(v, np.int64)
    cost, required = np.asarray(cost, float), np.asarray(required, bool)
    if not (u.shape == v.shape == cost.shape == required.shape and u.ndim == 1):
        raise ValueError("u, v, cost and required must be arrays of one length")
    if not required.any():
        raise ValueError("no edge is required")
    if not np.isfinite(cost).all() or (cost < 0).any():
        raise ValueError("costs must be finite and at least 0")
    if min(u.min(), v.min()) < 0:
        raise ValueError("nodes are numbered from 0")
    return u, v, cost, required


def _checked_ends(
    u: Ints, v: Ints, cut_cost: float | None, end_cost: Floats | None
) -> Floats | None:
    if cut_cost is not None and not (np.isfinite(cut_cost) and cut_cost > 0):
        raise ValueError(f"cut_cost is {cut_cost}; it must be more than 0")
    n = int(max(u.max(), v.max())) + 1
    if end_cost is None:
        return None if cut_cost is None else np.full(n, cut_cost / 2)
    ends = np.asarray(end_cost, float)
    if ends.shape != (n,):
        raise ValueError(f"end_cost has shape {ends.shape}; it must be ({n},)")
    if not np.isfinite(ends).all() or (ends <= 0).any():
        raise ValueError("end_cost must be finite and more than 0")
    return ends

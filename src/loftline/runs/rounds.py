"""Going once round a ring: what it costs, for all that may lead on from it.

On the way round a bit tells whether the stretch in hand is sewn over again. At each node it
may change: where the step from the parent stands, where one step leads to a branch, where a
run ends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.values import Bools, Ints

FAR = 1 << 48
"""Cost of what cannot be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A piece's nodes in order round it.

    Attributes:
        nodes: ``(n,)``.
        arc: ``(n,)`` cost of the stretch from each node to the next; far for none.
        edge: ``(n,)`` its edge.
        end: ``(n,)`` cost of a run's end at each node.
        hub: ``(n,)`` its edge.
        odd: ``(n,)``.
        met: whether a run ends on it anyway.
    """

    nodes: Ints
    arc: Ints
    edge: Ints
    end: Ints
    hub: Ints
    odd: Bools
    met: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """A choice at a node on the way round.

    Attributes:
        node: where.
        branch: the child that one step leads to, -1 for a run's end.
        taken: for each state after it, whether it was chosen.
        hub: whether a run's end had been met before.
    """

    node: int
    branch: int
    taken: Bools
    hub: Bools


def go_round(ring: Ring, single: Ints, ends: Ints, turns: list[Turn] | None) -> Ints:
    """Least costs of going round a piece once.

    Args:
        ring: the piece.
        single: ``(b, n)`` cost of one step to each branch at each node.
        ends: ``(e,)`` where the step from the parent stands, each a case of its own.
        turns: choices are put down here.

    Returns:
        ``(2, e, 2, 2, 2**b)``: whether the last stretch was sewn over again at first; the
        case; whether a run's end was met; whether the last stretch is sewn over again now;
        which branches were reached.
    """
    branches = len(single)
    masks = 1 << branches
    value = np.full((2, len(ends), 2, 2, masks), FAR)
    met = int(ring.met)
    value[0, :, met, 0, 0] = value[1, :, met, 1, 0] = 0
    with_branch = [(np.arange(masks) >> k & 1).astype(bool) for k in range(branches)]

    def turn(node: int, branch: int, cost: int) -> None:
        nonlocal value
        if cost >= FAR:
            return
        before = value[:, :, :, ::-1]
        to = with_branch[branch] if branch >= 0 else np.ones(masks, bool)
        source = before[..., ~to] if branch >= 0 else before
        best = np.full_like(value, FAR)
        best[:, :, 1][..., to] = source.min(axis=2) + cost
        taken = best < value
        if turns is not None:
            hub = np.zeros_like(taken)
            hub[:, :, 1][..., to] = source[:, :, 1] < source[:, :, 0]
            turns.append(Turn(node=node, branch=branch, taken=taken, hub=hub))
        value = np.where(taken, best, value)

    cheapest = int(ring.end.argmin()) if len(ring.end) else -1
    for i in range(len(ring.nodes)):
        if ring.odd[i]:
            value = value[:, :, :, ::-1]
        for k in range(branches):
            turn(i, k, int(single[k, i]))
        turn(i, -1, int(ring.end[i]))
        if i == cheapest:
            # a run may end where it began
            turn(i, -1, int(ring.end[i]))
        here = ends == i
        if here.any():
            value = value.copy()
            value[:, here] = value[:, here][:, :, :, ::-1]
        value = value.copy()
        value[:, :, :, 1] = np.minimum(value[:, :, :, 1] + int(ring.arc[i]), FAR)
    return value


def closed(
    value: Ints, branches: list[int], twice: list[int], apart: list[int], joined: list[int]
) -> Ints:
    """Costs ``(e, hub, met and mask)`` once round, with the children that no one step reached.

    ``hub`` tells whether a run's end is wanted in what hangs together with the piece; it is
    met on the piece, beyond one step, or beyond one sewn twice.
    """
    once_round = np.minimum(value[0, :, :, 0], value[1, :, :, 1])
    cases, masks = len(once_round), once_round.shape[-1]
    cost = np.full((cases, 2, 2, masks), FAR)
    for mask in range(masks):
        reached = {k for i, k in enumerate(branches) if mask >> i & 1}
        rest = [k for k in range(len(twice)) if k not in reached]
        cheap = sum(min(twice[k], apart[k]) for k in rest)
        cost[:, 0, 0, mask] = once_round[:, 0, mask] + cheap
        cost[:, 1, 1, mask] = once_round[:, 1, mask] + cheap
        if rest:
            more = through(rest, twice, apart, joined)[0]
            cost[:, 1, 0, mask] = once_round[:, 0, mask] + cheap + more
    return np.asarray(np.minimum(cost, FAR).reshape(cases, 2, 2 * masks))


def through(
    rest: list[int], twice: list[int], apart: list[int], joined: list[int]
) -> tuple[int, int]:
    """What it costs more to meet a run's end beyond one of the children, and which."""
    return min((joined[k] - min(twice[k], apart[k]), k) for k in rest)

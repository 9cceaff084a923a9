"""The best walk that can be found, and the least that can be proved, by cuts.

The relaxation is tightened; on the way its values are rounded to walks, which get better as
it does; edges proved to be of no use are closed; and where it ends between two whole walks,
branching decides. All effort is counted in steps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loftline.errors import Step
from loftline.runs.branches import branch
from loftline.runs.cuts import Cuts
from loftline.runs.fronts import Front, find_front
from loftline.runs.regions import around
from loftline.runs.relaxation import Relaxation
from loftline.runs.rural import Rural
from loftline.runs.starts import tree_walk
from loftline.runs.sweep import sweep
from loftline.values import Floats, Ints

_WORK, _GROWTH = 1.75e6, 1.3
"""Rounds times edges to the power of their growth, at effort 1: some six seconds of a core."""

_MOST_ROUNDS = 1500
_ROUND_EVERY = 5
_WARM, _WARM_AFTER = 12, 12
_MATCHED = 2000
_REGION, _REGION_ROUNDS, _IDLE_REGIONS = 140, 60, 25
_AT_LAST = 4
_NEAR = 0.037
_SHARE = 0.4
_IDLE = 60
_EARLY, _EARLY_SWEPT, _SWEPT = 15, 1_500_000, 5_000_000
"""A narrow network is swept after so many rounds, looking at so many states at effort 1, and
again at last."""

_LEAST_SWEPT = 100
"""States for each edge; with fewer a sweep is of no use."""

_GAIN = 2e-5
"""The relaxation ends after so many rounds that together gain less than this part."""


UNKNOWN = 1 << 50
"""Cost of a walk that is not known yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proved:
    """What is known of a task.

    Attributes:
        walked: ``(m,)`` the best walk found; ``None`` where none is better than was known.
        cost: of the best walk known, in thousandths.
        bound: proved least cost, in thousandths, never above ``cost``.
    """

    walked: Ints | None
    cost: int
    bound: int


def prove(
    rural: Rural,
    known: int,
    *,
    walked: Ints | None = None,
    first: Cuts | None = None,
    floor: int = 0,
    close: float = 0.0,
    effort: float,
    seed: int,
    step: Step,
) -> Proved:
    """Find and prove.

    Args:
        rural: the task.
        known: cost of the best walk known, in thousandths; :data:`UNKNOWN` if there is none.
        walked: ``(m,)`` that walk, if it can be given.
        first: cuts to begin with besides the usual ones.
        floor: what is proved already, in thousandths.
        close: a gap of this share of the cost is not branched on.
        effort: 1 is the usual; 0 does nothing.
        seed: for the disturbances of the starts.
        step: progress callback.
    """
    search = _Search(rural, known, walked, np.random.default_rng(seed), step, first)
    search.floor, search.close = floor, close
    rounds = min(_MOST_ROUNDS, int(effort * _WORK / max(1, len(rural.u)) ** _GROWTH))
    if rounds < 1 or rural.pieces < 1:
        return search.proved()
    if known >= UNKNOWN:
        search.start(1)
    search.pause()
    search.front = find_front(rural)
    search.pause()
    large = len(rural.u) > 2 * _REGION
    spent = search.tighten(min(rounds, _EARLY)) if search.front else 0
    if not search.closed:
        search.sweep(int(_EARLY_SWEPT * effort))
    if not search.closed and spent < rounds:
        spent += search.tighten((int(_SHARE * rounds) if large else rounds) - spent)
    # a walk as near as that to what is proved is seldom bettered in regions
    near = floor and known - floor <= _NEAR * known
    if large and not search.closed and not near:
        spent += search.mend(int(_SHARE * rounds))
        spent += search.tighten(rounds - spent)
    if not search.fine:
        search.sweep(int(_SWEPT * effort))
    if not search.fine and spent < rounds:
        search.decide(rounds - spent)
    return search.proved()


class _Search:
    def __init__(
        self,
        rural: Rural,
        known: int,
        walked: Ints | None,
        rng: np.random.Generator,
        step: Step,
        first: Cuts | None = None,
    ) -> None:
        self.rural = rural
        self.cost = known
        self.rng = rng
        self.step = step
        self.told = "proving", 0, 1
        self.walked = walked
        self.better = False
        self.proof = 0.0
        self.floor, self.close = 0, 0.0
        # walks differ by whole multiples of this
        self.grain = int(np.gcd.reduce(rural.cost)) or 1
        self.front: Front | None = None
        self.first = first
        self.relaxation: Relaxation | None = None

    @property
    def bound(self) -> int:
        """What is proved, rounded up to what a walk can cost."""
        if self.proof >= self.target:
            return self.cost
        grains = math.ceil((self.proof - 0.1) / self.grain)
        return min(self.cost, max(self.floor, grains * self.grain))

    @property
    def closed(self) -> bool:
        return self.bound >= self.cost

    @property
    def fine(self) -> bool:
        """Whether so little is left open that no more is proved."""
        return self.bound >= (1.0 - self.close) * self.cost

    def proved(self) -> Proved:
        walked = self.walked if self.better else None
        return Proved(walked=walked, cost=self.cost, bound=self.bound)

    def take(self, walked: Ints | None) -> None:
        """Keep a walk if it is the best yet."""
        if walked is None:
            return
        cost = int(self.rural.cost @ walked)
        if cost < self.cost and self.rural.even(walked) and self.rural.joined(walked):
            self.cost, self.walked, self.better = cost, walked, True

    def start(self, tries: int) -> None:
        """Walks from nothing, and from around the best so far."""
        cost = self.rural.cost.astype(float)
        for k in range(tries):
            self.at_step("joining", k, tries)
            if self.walked is None:
                self.take(tree_walk(self.rural, cost))
            weight = cost * (1 + 0.5 * self.rng.random(len(cost)))
            if self.walked is not None:
                weight[self.walked > 0] *= 0.7
            self.take(tree_walk(self.rural, weight))

    def round_off(self, x: Floats) -> None:
        """Walks that follow a relaxed one."""
        cost = self.rural.cost.astype(float)
        self.pause()
        self.take(tree_walk(self.rural, cost * (1 - 0.5 * np.minimum(x, 1.0))))
        self.pause()
        self.take(tree_walk(self.rural, cost * np.maximum(1.0 - x, 0.02)))

    @property
    def target(self) -> float:
        """What a walk may cost at most to be better."""
        # the best known may be none of this form, and cost something between two grains
        return (self.cost - 1) // self.grain * self.grain + 0.5

    def at_step(self, name: str, done: int, total: int) -> None:
        """A progress step, which pauses within it repeat."""
        self.told = name, done, total
        self.step(name, done, total)

    def pause(self) -> None:
        """Let the work be stopped."""
        self.step(*self.told)

    def tighten(self, rounds: int) -> int:
        """Tighten the relaxation; how many rounds it took."""
        if self.relaxation is None:
            self.relaxation = Relaxation(self.rural, self.pause)
            if self.first is not None:
                self.relaxation.add(self.first)
        relaxation = self.relaxation
        history: list[float] = []
        # walks take a matching of all odd nodes, which for many takes longer than a round
        odd = 1 + int(self.rural.odd.sum())
        for k in range(0 if relaxation.settled else rounds):
            self.at_step("proving", k, rounds)
            relaxation.tighten(self.target, close=True)
            self.proof = relaxation.bound
            self.take(relaxation.answer)
            history.append(relaxation.bound)
            if relaxation.settled or self.closed:
                break
            if k == _WARM_AFTER:
                self.start(min(_WARM, 2 + _MATCHED // odd))
            elif k > _WARM_AFTER and k % max(_ROUND_EVERY, odd // 40) == 0:
                self.round_off(relaxation.walked)
            if k >= _IDLE and history[-1] - history[-1 - _IDLE] < _GAIN * self.cost:
                break
        if not self.closed:
            self.round_off(relaxation.walked)
        return len(history)

    def mend(self, rounds: int) -> int:
        """Solve regions by themselves, first where the relaxed walk differs most."""
        if self.walked is None or self.relaxation is None:
            return 0
        rural = self.rural
        differs = np.abs(self.relaxation.walked - self.walked)
        spent, tries, idle = 0.0, 0, 0
        while spent < rounds and idle < _IDLE_REGIONS and differs.sum() > 0:
            self.at_step("joining", min(int(spent), rounds), rounds)
            tries += 1
            edge = int(self.rng.choice(len(differs), p=differs / differs.sum()))
            ends = [int(rural.u[edge]), int(rural.v[edge])]
            region = around(rural, self.walked, ends[tries % 2], _REGION)
            idle += 1
            differs[edge] *= 0.5
            if region is None:
                continue
            inner = _Search(region.rural, region.cost, None, self.rng, self.step)
            share = len(region.rural.u) / len(rural.u)
            spent += share * inner.tighten(_REGION_ROUNDS)
            if not inner.closed:
                spent += share * _REGION_ROUNDS
                inner.decide(_REGION_ROUNDS)
            if inner.walked is not None and inner.cost < region.cost:
                self.take(region.put_back(self.walked, inner.walked))
                idle = 0
        return int(spent)

    def sweep(self, work: int) -> None:
        """Go over the network, where it is narrow, with what the relaxation tells of costs."""
        if self.relaxation is None or self.front is None:
            return
        if work < _LEAST_SWEPT * len(self.rural.u):
            return
        found = sweep(
            self.rural,
            self.front,
            self.cost,
            prices=self.relaxation.prices,
            work=work,
            step=self.step,
        )
        self.take(found.walked)
        self.proof = max(self.proof, found.bound)

    def decide(self, rounds: int) -> None:
        """Branch, where the relaxation ended between two walks."""
        if self.relaxation is None:
            return
        found = branch(
            self.relaxation,
            lambda: self.target,
            self.take,
            self.round_off,
            rounds,
            lambda done, total: self.at_step("proving", done, total),
        )
        # nothing open is left below the target: nothing better than the best
        self.proof = max(self.proof, found)
        if not self.closed:
            self.round_off(self.relaxation.walked)
            self.start(_AT_LAST)

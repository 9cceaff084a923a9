"""The linear relaxation of the rural postman's task, tightened cut by cut.

A linear programme over the edges, at first with few cuts; what its answer breaks is added
until nothing is found (cutting planes: Corberan & Sanchis, European Journal of Operational
Research 79, 1994). Its answer is often whole, and then it is the optimum. Every bound told
is recomputed from the cuts' prices alone, and so holds whatever the solver's tolerances.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.sparse import csr_matrix

from loftline.runs.cuts import (
    Cuts,
    Signs,
    broken_clusters,
    broken_joins,
    broken_odds,
    first_cuts,
    in_order,
)
from loftline.runs.parity import MICRO
from loftline.runs.programme import Pause, Programme, Unsolved, make_programme
from loftline.runs.rural import Rural, spanning_tree
from loftline.runs.sweep import Prices
from loftline.values import Bools, Floats, Ints

_OLD = 5
"""Rounds a slack cut is kept while the bound rises."""

_MANY = 30
"""Old cuts are dropped so many at once."""

_WHOLE = 1e-6


def _go_on() -> None:
    pass


class Relaxation:
    """The relaxation of one task while it is being tightened.

    Attributes:
        bound: a proved least cost, in thousandths, of the last range of walks.
        x: ``(c,)`` the relaxed walk by columns, of the last solution.
        low, high: ``(c,)`` 0 or 1, what each column is at least and at most; those that no
            better walk can have are closed.
        answer: ``(m,)`` the best walk of the range, once the relaxed one is it.
        settled: nothing more can be gained by cuts.
        prices: what the best bound of all walks was summed up from.
    """

    def __init__(self, rural: Rural, pause: Pause = _go_on) -> None:
        m = len(rural.column)
        self._pause = pause
        self.rural = rural
        self.cost: Floats = rural.cost[rural.column].astype(float)
        self.bound = 0.0
        self.x: Floats = np.zeros(m)
        self.reduced: Floats = self.cost
        self.prices = self._priced(self.cost, 0.0)
        self._gain: Floats = self.cost
        self.low: Ints = np.zeros(m, np.int64)
        self.high: Ints = np.ones(m, np.int64)
        self.answer: Ints | None = None
        self.settled = False
        self.sign: Signs = np.zeros((0, m), np.int8)
        self.least: Ints = np.zeros(0, np.int64)
        self._age: Ints = np.zeros(0, np.int64)
        self._thin: csr_matrix | None = None
        self._known: set[bytes] = set()
        self._programme: Programme = make_programme(self.cost / MICRO)
        # but for those of a tree, second walks wait until one pays
        spot = rural.spot
        tree = spanning_tree(spot[rural.u], spot[rural.v], rural.cost)
        twins = np.arange(len(rural.u), m)
        self._waiting: Bools = np.zeros(m, bool)
        self._waiting[twins] = ~np.isin(rural.column[twins], tree)
        self._shut()
        self.add(in_order(rural, twins[~self._waiting[twins]]))
        pause()
        first = first_cuts(rural)
        pause()
        self.add(first)

    @property
    def walked(self) -> Floats:
        """``(m,)`` the relaxed walk by edges."""
        return self.rural.by_edge(self.x)

    def add(self, cuts: Cuts) -> int:
        """Add cuts that are new; how many were."""
        fresh = []
        for k, key in enumerate(_keys(cuts.sign, cuts.least)):
            if key not in self._known:
                self._known.add(key)
                fresh.append(k)
        if fresh:
            self._programme.add(cuts.sign[fresh], cuts.least[fresh])
            self._thin = None
            self.sign = np.concatenate([self.sign, cuts.sign[fresh]])
            self.least = np.concatenate([self.least, cuts.least[fresh]])
            self._age = np.concatenate([self._age, np.zeros(len(fresh), np.int64)])
        return len(fresh)

    def within(self, low: Ints, high: Ints) -> None:
        """Go on with another range of walks; the cuts found are kept."""
        changed = np.flatnonzero((low != self.low) | (high != self.high))
        shut = np.where(self._waiting, 0, high)
        self._programme.limit(changed, low[changed], shut[changed])
        self.low, self.high = low.copy(), high.copy()
        self.bound, self.answer, self.settled = 0.0, None, False

    def tighten(self, best: float, *, close: bool = False) -> None:
        """One round: solve, look for broken cuts.

        Args:
            best: cost of the best walk known: no dearer one is of use.
            close: close edges that cannot be in a better walk.
        """
        if not self.solve():
            self.bound, self.settled = math.inf, True
            return
        if self.settled:
            return
        if close:
            self._close(best)
        if self.bound >= best:
            self.settled = True
            return
        if self._open_waiting():
            return
        if (np.abs(self.x - np.rint(self.x)) < _WHOLE).all():
            walked = np.rint(self.walked).astype(np.int64)
            if self.rural.even(walked) and self.rural.joined(walked):
                self.answer, self.settled = walked, True
                return
        self._pause()
        added = self.add(broken_clusters(self.rural, self.x))
        if not added:
            added = self.add(broken_joins(self.rural, self.x))
        if not added:
            self._pause()
            added = self.add(broken_odds(self.rural, self.x))
        self.settled = added == 0

    def _shut(self) -> None:
        waiting = np.flatnonzero(self._waiting)
        none = np.zeros(len(waiting), np.int64)
        self._programme.limit(waiting, none, none)

    def _open_waiting(self, *, paying: bool = True) -> bool:
        """Let edges be walked a second time where that pays; whether there were any."""
        pays = self._waiting & (self.high > 0)
        if paying:
            pays &= self._gain < -1e-3
        twins = np.flatnonzero(pays)
        if not len(twins):
            return False
        self._waiting[twins] = False
        self._programme.limit(twins, self.low[twins], self.high[twins])
        self.add(in_order(self.rural, twins))
        return True

    def _close(self, best: float) -> None:
        # an edge whose use costs more than is left to gain is in no better walk
        hopeless = np.flatnonzero(
            (self.high > 0) & ~self._waiting & (self.reduced > best - self.bound + 1.0)
        )
        if len(hopeless):
            none = np.zeros(len(hopeless), np.int64)
            self._programme.limit(hopeless, none, none)
            self.high[hopeless] = 0

    def solve(self) -> bool:
        """Solve as it is, and raise the bound; ``False`` when the range holds no walk."""
        try:
            found = self._programme.solve(self._pause)
        except Unsolved:
            self.settled = True
            return True
        if found is None:
            return self._open_waiting(paying=False) and self.solve()
        self.x = found.x
        price = found.price * MICRO
        if self._thin is None:
            self._thin = csr_matrix(self.sign.T, dtype=float)
        reduced = self.cost - self._thin @ price
        ranged = np.where(reduced > 0, self.low, self.high) * reduced
        bound = float(price @ self.least + ranged.sum())
        self._age = np.where(found.slack > _WHOLE, self._age + 1, 0)
        self._gain = reduced
        if bound > self.bound + 1e-3:
            self.bound = bound
            self.prices = self._priced(reduced, float(price @ self.least))
            self.reduced = np.where(self.low > 0, 0.0, np.maximum(reduced, 0.0))
            self._forget()
        return True

    def _priced(self, reduced: Floats, base: float) -> Prices:
        m = len(self.rural.u)
        again = np.zeros(m)
        again[self.rural.column[m:]] = reduced[m:]
        return Prices(once=reduced[:m].copy(), again=again, base=base)

    def _forget(self) -> None:
        old = self._age >= _OLD
        rows = np.flatnonzero(old)
        if len(rows) < _MANY:
            return
        self._known.difference_update(_keys(self.sign[rows], self.least[rows]))
        self._programme.drop(rows)
        self._thin = None
        self.sign = self.sign[~old]
        self.least = self.least[~old]
        self._age = self._age[~old]


def _keys(sign: Signs, least: Ints) -> list[bytes]:
    rows = np.concatenate([np.packbits(sign > 0, axis=1), np.packbits(sign < 0, axis=1)], axis=1)
    return [row.tobytes() + bytes([n % 256]) for row, n in zip(rows, least.tolist(), strict=True)]

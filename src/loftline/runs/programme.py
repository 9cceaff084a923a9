"""A linear programme that grows by cuts, solved again and again.

With highspy each solution goes on from the last, several times quicker; without it scipy's
own copy of the same solver begins anew each time. The answers serve alike: bounds are
recomputed from the prices alone, whoever found them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Any, Protocol

import numpy as np
from scipy.sparse import csr_matrix

from loftline.runs.cuts import Signs
from loftline.values import Floats, Ints

_PORTION = 500
"""Pivots without a pause: at most a fifth of a second on panels of 2.4 m."""

_MOST_PORTIONS = 200
_UNFINISHED = "kIterationLimit"
"""highspy's word where a portion has ended before the least was found."""

_INFEASIBLE = 2
"""scipy's word for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """The least ``x`` ``(c,)``; the price of each row ``(k,)``, at least 0, and what it exceeds."""

    x: Floats
    price: Floats
    slack: Floats


Pause = Callable[[], None]


class Unsolved(ArithmeticError):  # noqa: N818 - it is not an error, it is no answer
    """The solver found no least, nor proved that there is none."""


class Programme(Protocol):
    """Least cost of ``x`` from 0 to 1 with ``sign @ x >= least``."""

    def add(self, sign: Signs, least: Ints) -> None:
        """Add ``(k, c)`` rows of 1, -1 and 0."""

    def drop(self, rows: Ints) -> None:
        """Take rows away, by their present numbers."""

    def limit(self, columns: Ints, low: Ints, high: Ints) -> None:
        """Keep these columns within other limits from now on."""

    def solve(self, pause: Pause) -> Solution | None:
        """The least; ``None`` when it is proved that there is nothing within the limits.

        Args:
            pause: called now and then; it may raise to stop the work.

        Raises:
            Unsolved: when neither was found.
        """


def make_programme(cost: Floats) -> Programme:
    """A programme without rows yet."""
    solver = quiet_solver()
    return Afresh(cost) if solver is None else GoingOn(cost, solver)


def quiet_solver() -> Any:  # noqa: ANN401 - highspy is not typed throughout
    """A solver of highspy that prints nothing; ``None`` where it is not installed."""
    try:
        highspy: Any = import_module("highspy")
    except ImportError:
        return None

    class Quiet(highspy.Highs):  # type: ignore[misc]
        def enableCallbacks(self) -> None:  # noqa: N802 - its own name
            # none are used, and they come with a banner
            self.setOptionValue("output_flag", False)

    return Quiet()


class GoingOn:
    """By highspy, each solution from the last."""

    def __init__(self, cost: Floats, solver: Any) -> None:  # noqa: ANN401 - as above
        m = len(cost)
        solver.setOptionValue("threads", 1)
        solver.setOptionValue("presolve", "off")
        solver.setOptionValue("simplex_iteration_limit", _PORTION)
        solver.addVars(m, np.zeros(m), np.ones(m))
        solver.changeColsCost(m, np.arange(m, dtype=np.int32), cost.astype(float))
        self._solver = solver
        self._least = np.zeros(0)

    def add(self, sign: Signs, least: Ints) -> None:
        """See :class:`Programme`."""
        k = len(sign)
        if not k:
            return
        row, column = np.nonzero(sign)
        start = np.searchsorted(row, np.arange(k))
        self._solver.addRows(
            k,
            least.astype(float),
            np.full(k, np.inf),
            len(column),
            start.astype(np.int32),
            column.astype(np.int32),
            sign[row, column].astype(float),
        )
        self._least = np.append(self._least, least)

    def drop(self, rows: Ints) -> None:
        """See :class:`Programme`."""
        if len(rows):
            self._solver.deleteRows(len(rows), rows.astype(np.int32))
            self._least = np.delete(self._least, rows)

    def limit(self, columns: Ints, low: Ints, high: Ints) -> None:
        """See :class:`Programme`."""
        if len(columns):
            self._solver.changeColsBounds(
                len(columns), columns.astype(np.int32), low.astype(float), high.astype(float)
            )

    def solve(self, pause: Pause) -> Solution | None:
        """See :class:`Programme`."""
        status = _UNFINISHED
        for _ in range(_MOST_PORTIONS):
            # goes on from where it was
            self._solver.run()
            status = self._solver.getModelStatus().name
            if status != _UNFINISHED:
                break
            pause()
        if status == "kInfeasible":
            return None
        if status != "kOptimal":
            raise Unsolved(status)
        found = self._solver.getSolution()
        x = np.clip(np.array(found.col_value, float), 0.0, 1.0)
        return Solution(
            x=x,
            price=np.maximum(np.array(found.row_dual, float), 0.0),
            slack=np.array(found.row_value, float) - self._least,
        )


class Afresh:
    """By scipy, each solution from nothing."""

    def __init__(self, cost: Floats) -> None:
        self._cost = cost.astype(float)
        self._low = np.zeros(len(cost))
        self._high = np.ones(len(cost))
        self._sign: Signs = np.zeros((0, len(cost)), np.int8)
        self._least: Ints = np.zeros(0, np.int64)

    def add(self, sign: Signs, least: Ints) -> None:
        """See :class:`Programme`."""
        self._sign = np.concatenate([self._sign, sign])
        self._least = np.concatenate([self._least, least])

    def drop(self, rows: Ints) -> None:
        """See :class:`Programme`."""
        self._sign = np.delete(self._sign, rows, axis=0)
        self._least = np.delete(self._least, rows)

    def limit(self, columns: Ints, low: Ints, high: Ints) -> None:
        """See :class:`Programme`."""
        self._low[columns] = low
        self._high[columns] = high

    def solve(self, pause: Pause) -> Solution | None:
        """See :class:`Programme`."""
        pause()
        # slow to load, and seldom needed
        from scipy.optimize import linprog  # noqa: PLC0415

        rows: Any = -csr_matrix(self._sign, dtype=float)
        answer = linprog(
            self._cost,
            A_ub=rows,
            b_ub=-self._least.astype(float),
            bounds=list(zip(self._low.tolist(), self._high.tolist(), strict=True)),
            method="highs-ds",
        )
        if answer.status == _INFEASIBLE:
            return None
        if answer.status != 0 or answer.x is None:
            raise Unsolved(answer.message)
        x = np.clip(answer.x, self._low, self._high)
        price = np.maximum(-answer.ineqlin.marginals, 0.0)
        return Solution(x=x, price=price, slack=np.asarray(answer.slack, float))

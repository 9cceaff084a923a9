"""A task between few nodes in whole numbers: an integer programme, solved again with more cuts.

How often each edge is walked, every node even, and all pieces joined: what an answer leaves
apart is cut off, and the programme is solved anew. Each answer's own bound holds for the
task, whether or not its pieces are joined. Solved by HiGHS's branch and cut, limited in
nodes, not in time; edges that a relaxation shows to be in no better walk are left out.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from scipy.sparse import coo_matrix, csr_matrix, hstack, identity, vstack

from loftline.errors import Step
from loftline.runs.connected import components
from loftline.runs.cuts import Cuts, in_order
from loftline.runs.parity import MICRO
from loftline.runs.programme import quiet_solver
from loftline.runs.relaxation import Relaxation
from loftline.runs.rural import Rural
from loftline.values import Bools, Floats, Ints

_RELAXED = 60
"""Rounds of the relaxation, whose cuts the programme begins with."""

_INFEASIBLE = 2
"""scipy's word for it."""

_MOST_NODES = 200
_SLACK = 0.5
"""Thousandths that the solver's tolerances may be worth; costs are whole thousandths."""


def least_whole(
    small: Rural, known: int, enough: int, first: Cuts, rounds: int, step: Step
) -> tuple[int, Ints | None]:
    """A proved least cost of all walks that are cheaper than one that is known.

    Args:
        small: the task.
        known: cost of a walk, in thousandths, of this task or of one that is no cheaper.
        enough: a bound so high ends the work.
        first: cuts to begin with.
        rounds: how many programmes may be solved.
        step: progress callback.

    Returns:
        The bound, and ``(m,)`` how often the last answer walks each edge; its pieces may not
        all be joined.
    """
    relaxation = Relaxation(small)
    relaxation.add(first)
    bound = 0.0
    for k in range(_RELAXED):
        step("proving", k, _RELAXED + rounds)
        relaxation.tighten(known - 0.5, close=True)
        bound = max(bound, relaxation.bound)
        if relaxation.settled:
            break
    found = _as_bound(bound, known)
    tight = (relaxation.sign @ relaxation.x - relaxation.least < _SLACK) | (relaxation.least > 1)
    programme = Programme(small, relaxation.high > 0)
    programme.add(Cuts(sign=relaxation.sign[tight], least=relaxation.least[tight]))
    programme.add(in_order(small, np.arange(len(small.u), len(small.column))))
    apart: dict[bytes, Bools] = {}
    last: Ints | None = None
    for k in range(rounds):
        if found >= enough:
            break
        step("proving", _RELAXED + k, _RELAXED + rounds)
        bound, walked = programme.solve(step, (_RELAXED + k, _RELAXED + rounds))
        found = max(found, _as_bound(bound, known))
        if walked is None:
            break
        last = walked
        fresh = [nodes for nodes in _parts(small, walked) if nodes.tobytes() not in apart]
        if not fresh:
            break
        apart.update((nodes.tobytes(), nodes) for nodes in fresh)
        inside = np.array(fresh)
        border = (inside[:, small.u] != inside[:, small.v])[:, small.column]
        programme.add(Cuts(sign=border.astype(np.int8), least=np.full(len(border), 2)))
    return found, last


def _as_bound(least: float, known: int) -> int:
    return min(known, math.ceil(least - _SLACK)) if math.isfinite(least) else known


def _parts(small: Rural, walked: Ints) -> list[Bools]:
    """Pieces that a walk leaves apart, each side told so that its first node is in it."""
    spot = small.spot
    on = walked > 0
    label = components(int(spot.max()) + 1, spot[small.u[on]], spot[small.v[on]])[spot]
    parts = np.unique(label[small.piece >= 0])
    if len(parts) < 2:
        return []
    sets = {}
    for part in parts.tolist():
        nodes = label == part
        one = nodes if nodes[0] else ~nodes
        sets[one.tobytes()] = one
    return list(sets.values())


class Programme:
    """The integer programme over the columns of a task; besides them half of each node's degree."""

    def __init__(self, small: Rural, used: Bools) -> None:
        self.small = small
        n, c = small.size, len(small.column)
        at = np.concatenate([small.u[small.column], small.v[small.column]])
        meets = coo_matrix((np.ones(2 * c), (at, np.tile(np.arange(c), 2))), shape=(n, c))
        self._even = csr_matrix(hstack([meets, -2.0 * identity(n)]))
        self._rows: list[csr_matrix] = []
        self._least: list[Floats] = []
        self._cost = np.concatenate([small.cost[small.column] / MICRO, np.zeros(n)])
        self._most = np.concatenate([used.astype(float), np.full(n, float(c))])

    def add(self, cuts: Cuts) -> None:
        """Add rows."""
        if len(cuts):
            rest = csr_matrix((len(cuts), self.small.size))
            self._rows.append(csr_matrix(hstack([csr_matrix(cuts.sign.astype(float)), rest])))
            self._least.append(cuts.least.astype(float))

    def solve(self, step: Step, at: tuple[int, int]) -> tuple[float, Ints | None]:
        """A bound in thousandths, infinite where there is no walk, and the best walk found."""
        rows, least = csr_matrix(vstack(self._rows)), np.concatenate(self._least)
        solver = quiet_solver()
        columns = len(self.small.column)
        if solver is None:
            bound, x = self._solve_slowly(rows, least)
        else:
            bound, x = self._solve(solver, rows, least, step, at)
        if x is None:
            return bound * MICRO, None
        walked = self.small.by_edge(np.rint(x[:columns]))
        return bound * MICRO, np.rint(walked).astype(np.int64)

    def _solve(
        self,
        solver: Any,  # noqa: ANN401 - highspy is not typed throughout
        rows: csr_matrix,
        least: Floats,
        step: Step,
        at: tuple[int, int],
    ) -> tuple[float, Floats | None]:
        import highspy  # noqa: PLC0415 - slow to load, and may be missing

        for name, value in (
            ("threads", 1),
            ("mip_rel_gap", 0.0),
            ("mip_max_nodes", _MOST_NODES),
            # most of the time would go into beginning anew
            ("mip_allow_restart", False),
            ("mip_detect_symmetry", False),
        ):
            solver.setOptionValue(name, value)
        m = len(self._cost)
        every = np.arange(m, dtype=np.int32)
        solver.addVars(m, np.zeros(m), self._most)
        solver.changeColsCost(m, every, self._cost)
        whole = np.array([highspy.HighsVarType.kInteger] * m)
        solver.changeColsIntegrality(m, every, whole)
        odd = -self.small.odd.astype(float)
        for matrix, low, high in (
            (self._even, odd, odd),
            (rows, least, np.full(len(least), highspy.kHighsInf)),
        ):
            solver.addRows(
                matrix.shape[0],
                low,
                high,
                matrix.nnz,
                matrix.indptr[:-1].astype(np.int32),
                matrix.indices.astype(np.int32),
                matrix.data.astype(float),
            )
        stopped: list[BaseException] = []

        def look_up(_kind: Any, _text: Any, _out: Any, answer: Any, _mine: Any) -> None:  # noqa: ANN401
            # nothing may be raised through the solver: it is asked to stop, and then it is raised
            try:
                step("proving", *at)
            except BaseException as stop:  # noqa: BLE001 - whatever it is, it is raised below
                stopped.append(stop)
                answer.user_interrupt = True

        solver.setCallback(look_up, None)
        solver.startCallback(highspy.cb.HighsCallbackType.kCallbackMipInterrupt)
        solver.run()
        if stopped:
            raise stopped[0]
        if solver.getModelStatus().name == "kInfeasible":
            return math.inf, None
        info = solver.getInfo()
        has = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
        x = np.array(solver.getSolution().col_value, float) if has else None
        return max(0.0, float(info.mip_dual_bound)), x

    def _solve_slowly(self, rows: csr_matrix, least: Floats) -> tuple[float, Floats | None]:
        """By scipy's own copy of the solver, which begins anew again and again."""
        from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - slow to load

        odd = -self.small.odd.astype(float)
        answer = milp(
            self._cost,
            constraints=[
                LinearConstraint(self._even, odd, odd),
                LinearConstraint(rows, least, np.inf),
            ],
            integrality=np.ones(len(self._cost), np.int64),
            bounds=Bounds(np.zeros(len(self._cost)), self._most),
            options={"node_limit": _MOST_NODES, "mip_rel_gap": 0.0},
        )
        if answer.status == _INFEASIBLE:
            return math.inf, None
        bound = answer.mip_dual_bound
        return 0.0 if bound is None or not math.isfinite(bound) else float(bound), answer.x

"""How often the panel must be swung round; what a turn is: :mod:`loftline.swings`."""

from __future__ import annotations

import numpy as np

from loftline.swings import REACH_MM, ROUNDING, ROUNDING_MM, TURN, count_swings
from loftline.values import Kind, Sewn

__all__ = ["REACH_MM", "ROUNDING", "ROUNDING_MM", "TURN", "count_turns"]


def count_turns(sewn: Sewn) -> int:
    """Number of turns; near O(n) for n needle points.

    Ties are left out: the needle goes to and fro there while the panel stays.
    """
    first = np.flatnonzero((sewn.run[1:] == sewn.run[:-1]) & (sewn.kind[1:] < Kind.TIE))
    step = np.column_stack([sewn.x[first + 1] - sewn.x[first], sewn.y[first + 1] - sewn.y[first]])
    return count_swings(step / 10, sewn.run[first])

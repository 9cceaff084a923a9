"""Bobbins: outside sizes and an estimate of what they hold.

Outside sizes are published. Metres are reckoned from the room between hub and rim with a
hub, walls and a fill from memory, so they are an estimate: a maker who has wound and
measured a bobbin enters her own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from loftline.trade.threads import DENSITY

_HUB_MM: Final = 9.6
_WALLS_MM: Final = 1.8
_FILL: Final = 0.576


@dataclass(frozen=True, slots=True, kw_only=True)
class Bobbin:
    """A bobbin by its class.

    Attributes:
        diameter, height: outside, mm.
    """

    name: str
    diameter: float
    height: float

    def metres(self, tex: float) -> float:
        """Estimated metres of polyester thread on a full bobbin.

        Args:
            tex: of the thread, more than 0.

        >>> round(BOBBINS[0].metres(20))
        99
        """
        ring = math.pi / 4 * (self.diameter**2 - _HUB_MM**2)
        volume = ring * (self.height - _WALLS_MM) * _FILL
        return volume * DENSITY["polyester"] / tex  # mm3 x mg/mm3 = mg; 1 tex is 1 mg a metre


BOBBINS: Final = (
    Bobbin(name="class 15", diameter=20.3, height=11.7),
    Bobbin(name="class L", diameter=20.3, height=8.9),
    Bobbin(name="class M", diameter=24.9, height=10.7),
)
"""The first is the usual one of home machines."""

"""Sewing threads: how thick they are, and what is lost of them.

Sources: the diameter is that of a round thread of the fibre's density, packed to
:data:`PACKING` (textile physics; the packing itself from memory, good to some 30 %).
Densities are handbook values. Waste allowances: three thread bulletins give 10 to 20 %.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

DENSITY: Final[Mapping[str, float]] = MappingProxyType(
    {"polyester": 1.38, "cotton": 1.52, "silk": 1.34, "nylon": 1.14}
)
"""Grams per cubic centimetre of the fibre."""

PACKING: Final = 0.65
"""Share of a thread's cross-section that is fibre."""

USUAL_WASTE: Final = (0.10, 0.20)
"""Least and greatest usual allowance for threading, ends and trials."""

DEFAULT_WASTE: Final = 0.15

TAIL_MM: Final[Mapping[str, float]] = MappingProxyType({"trim": 50.0, "stop": 100.0})
"""Thread left at each end of a run (common practice).

``trim``: what a machine's knife leaves and pulls in again. ``stop``: cut by hand, long
enough to be pulled up, knotted and buried.
"""


def thread_diameter(tex: float, fibre: str = "polyester") -> float:
    """Diameter of a round thread, millimetres: the root of 4 tex / (1000 pi density packing).

    Args:
        tex: grams per kilometre.
        fibre: a key of :data:`DENSITY`; the default is on the thick side.

    Raises:
        ValueError: no such fibre, or no positive finite tex.

    >>> round(thread_diameter(40), 3)
    0.238
    """
    if not (math.isfinite(tex) and tex > 0):
        raise ValueError(f"found {tex:g} tex; a thread's tex is more than 0")
    if fibre not in DENSITY:
        raise ValueError(f'found "{fibre}"; the fibre is one of {", ".join(DENSITY)}')
    return math.sqrt(4 * tex / (1000 * math.pi * DENSITY[fibre] * PACKING))


def with_waste(length: float, waste: float = DEFAULT_WASTE) -> float:
    """Length to have at hand for a length that is sewn.

    >>> round(with_waste(540), 6)
    621.0
    """
    return length * (1 + waste)

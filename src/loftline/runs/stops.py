"""Places on curves where nodes lie."""

from __future__ import annotations

from dataclasses import dataclass

from loftline.values import Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Stops:
    """Nodes on curves: curve, distance along it, node."""

    curve: Ints
    along: Floats
    node: Ints

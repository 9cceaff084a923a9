"""How far apart lines shall lie at each place: one distance, or one that grows across a part."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from loftline.fills.meander.loop import Loop
from loftline.values import Floats


@dataclass(frozen=True, slots=True)
class Pace:
    """Wanted distance between neighbouring lines.

    Attributes:
        start: up to ``low``, in mm.
        end: from ``high`` on, in mm; between them it changes evenly.
        low: distance along ``towards`` from the origin, in mm.
        high: the same, more than ``low`` unless both ends are equal.
        towards: unit vector.
    """

    start: float
    end: float
    low: float = 0.0
    high: float = 0.0
    towards: complex = 1 + 0j

    @classmethod
    def even(cls, spacing: float) -> Pace:
        """One distance everywhere."""
        return cls(spacing, spacing)

    @classmethod
    def across(cls, start: float, end: float, angle: float, points: Floats) -> Pace:
        """From one distance to another across a set of points, in a direction in degrees."""
        turn = math.radians(angle)
        towards = complex(math.cos(turn), math.sin(turn))
        along = points[:, 0] * towards.real + points[:, 1] * towards.imag
        return cls(start, end, float(along.min()), float(along.max()), towards)

    def times(self, factor: float) -> Pace:
        """The same, wider."""
        return replace(self, start=self.start * factor, end=self.end * factor)

    @property
    def graded(self) -> bool:
        """Whether it changes at all."""
        return self.start != self.end

    @property
    def finest(self) -> float:
        """The least distance anywhere."""
        return min(self.start, self.end)

    @property
    def coarsest(self) -> float:
        """The largest distance anywhere."""
        return max(self.start, self.end)

    def at(self, places: Loop) -> Floats:
        """The distance at each place; not to be written to."""
        if not self.graded:
            return np.broadcast_to(np.float64(self.start), places.shape)
        along = places.real * self.towards.real + places.imag * self.towards.imag
        share = np.clip((along - self.low) / (self.high - self.low), 0.0, 1.0)
        spacing: Floats = self.start + (self.end - self.start) * share
        return spacing

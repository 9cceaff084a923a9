"""What is asked of the curves of a region, and how much is done for each."""

from __future__ import annotations

from dataclasses import dataclass

from loftline.fills.meander.pace import Pace
from loftline.fills.meander.relax import COARSE, FINE, GENTLE, QUICK, Stage
from loftline.fills.meander.rounding import BRIEF, SLOW, Flow


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """How much is done for a curve.

    Attributes:
        first: stages that are tried in turn on the raw curve.
        last: the stage after it, if any.
        flow: how it is rounded.
        refined: how often its points are doubled then.
        step: between points of the finished curve, in spacings ...
        steps: ... but no less and no more than this, in mm.
    """

    first: tuple[Stage, ...]
    last: Stage | None
    flow: Flow
    refined: int
    step: float
    steps: tuple[float, float]

    @property
    def passes(self) -> int:
        """How often :func:`wander` calls its ``tick``."""
        last = 0 if self.last is None else self.last.passes
        return self.first[0].passes + last + self.flow.passes


THOROUGH = Care(
    first=(COARSE, GENTLE), last=FINE, flow=SLOW, refined=2, step=0.04, steps=(0.25, 0.5)
)
SKETCH = Care(first=(QUICK, GENTLE), last=None, flow=BRIEF, refined=1, step=0.08, steps=(0.5, 1.0))
"""The same tree, hence nearly the same curve, in less time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is asked of all curves of a region.

    Attributes:
        pace: wanted distance between neighbouring lines.
        seed: another seed, another curve.
        care: how much is done for them.
        curls: whether they make small loops on their way.
    """

    pace: Pace
    seed: int
    care: Care
    curls: bool = False

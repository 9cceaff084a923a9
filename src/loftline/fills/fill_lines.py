"""What every fill is: a function from a field and its entry of the file to lines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from loftline.clips import Cuts
from loftline.errors import Finding, Step
from loftline.project import FillSpec
from loftline.values import Bools, Field, Floats, Ints, Quality


@dataclass(frozen=True, slots=True, kw_only=True)
class FillLines:
    """Lines of one fill.

    Attributes:
        curves: ``(k, 2)`` each; a closed one repeats its first point. An end lies on a ring of
            the field's region.
        family: ``(m,)`` number of each line's family, from 0; lines of one never cross.
        angle: ``(m,)`` degrees of a straight line's family, NaN for a curve.
        closed: ``(m,)`` whether each is a loop.
        rows: ``(m, 2)`` as of :class:`~loftline.values.Lines`; ``None`` where no curves lie side
            by side.
        cuts: the ends that the border of the field's region has made, all others lie on none;
            ``None`` where they are not known.
    """

    curves: tuple[Floats, ...]
    family: Ints
    angle: Floats
    closed: Bools
    findings: tuple[Finding, ...] = ()
    rows: Floats | None = None
    cuts: Cuts | None = None

    @property
    def every_row(self) -> Floats:
        """The rows, NaN where there are none."""
        return np.full((len(self.curves), 2), np.nan) if self.rows is None else self.rows

    @classmethod
    def of(
        cls,
        families: Sequence[Sequence[Floats] | Floats],
        angles: Sequence[float],
        *,
        closed: bool = False,
        findings: Sequence[Finding] = (),
        rows: Floats | None = None,
        cuts: Cuts | None = None,
    ) -> FillLines:
        """Lines sorted by family, one angle for each; all of them loops or none."""
        count = [len(curves) for curves in families]
        return cls(
            curves=tuple(curve for curves in families for curve in curves),
            family=np.repeat(np.arange(len(count)), count),
            angle=np.repeat(np.array(angles, np.float64), count),
            closed=np.full(sum(count), closed),
            findings=tuple(findings),
            rows=rows,
            cuts=cuts,
        )


Maker = Callable[[Field, FillSpec, int, Quality, Step], FillLines]
"""A fill: the field, its entry of the file, a seed of its own, how good it has to be, the
progress callback."""

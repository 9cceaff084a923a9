"""Stitches as segments: what all checks start from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.values import Bools, Floats, Ints, Sewn

ROUNDING_MM = 0.15
"""Both ends of a stitch lie on whole tenths, each up to 0.071 mm from where it was meant."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stitches:
    """The stitches of a :class:`Sewn`: segments between needle points of one run.

    Attributes:
        points: ``(n, 2)`` needle points, mm.
        first: ``(m,)`` index of the needle point each stitch starts from; it ends at the next.
        length: ``(m,)`` mm.
        kind: ``(m,)`` :class:`loftline.values.Kind` of each stitch.
    """

    points: Floats
    first: Ints
    length: Floats
    kind: Ints

    @classmethod
    def of(cls, sewn: Sewn) -> Stitches:
        """The stitches of needle points; O(n)."""
        first = np.flatnonzero(sewn.run[1:] == sewn.run[:-1])
        return cls(
            points=np.column_stack([sewn.x, sewn.y]) / 10,
            first=first,
            length=np.hypot(sewn.x[first + 1] - sewn.x[first], sewn.y[first + 1] - sewn.y[first])
            / 10,
            kind=sewn.kind[first + 1],
        )

    def ends(self, which: Ints | Bools) -> Floats:
        """Both ends of some stitches, ``(k, 2, 2)``."""
        first = self.first[which]
        return np.stack([self.points[first], self.points[first + 1]], axis=1)


def count_of(count: int, word: str, words: str) -> str:
    """A count in words.

    >>> count_of(1, "stitch", "stitches"), count_of(3, "stitch", "stitches")
    ('1 stitch', '3 stitches')
    """
    return f"{count} {word if count == 1 else words}"

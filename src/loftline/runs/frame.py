"""A frame that lines carry with them: turned or seen in a mirror, they look the same in it.

What is chosen in such a frame depends on the lines alone, not on how the panel lies. It is
found from moments of the lines about their centre, integrals of ``z**k * abs(z)**e`` over
their length with places as complex numbers: turned by an angle, each turns by k times that
angle; in a mirror it becomes its conjugate (complex moments: Abu-Mostafa & Psaltis, IEEE
Transactions on Pattern Analysis and Machine Intelligence 6, 1984). The first that is not
nearly nothing gives k directions and their mirror images; the one of these in which all
moments together come first is taken. Where several do, the lines are alike in all of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftline.values import Floats, Ints

GRID_MM = 2.0**-20
"""Places in the frame are whole multiples of this, a millionth of a millimetre: what is left
of rounding would else settle ties."""

_ORDERS = np.repeat(np.arange(1, 6), 2)
_SPREADS = (1, 2)
"""The moments looked at: ``k`` of each, and half of its ``e``."""

_PLAIN = 1e-3
"""A moment below this tells no direction; 1 is that of lines at one distance all round."""

_ALIKE = 1e-6
"""Moments are the same within this: far above what rounding leaves of them."""

_GAUSS = 5
"""Places on each stroke: exact for powers up to 9 (Gauss & Legendre)."""

Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Where the frame lies.

    Attributes:
        centre: ``(2,)`` millimetres on the panel.
        axes: ``(2, 2)`` its two directions as rows.
    """

    centre: Floats
    axes: Floats

    @classmethod
    def of(cls, points: Floats, starts: Ints) -> Frame:
        """The frame of packed polylines, whichever way they are drawn and wherever from.

        Args:
            points: ``(n, 2)`` millimetres.
            starts: offsets of the polylines.
        """
        last = np.zeros(len(points), bool)
        last[starts[1:] - 1] = True
        first = np.flatnonzero(~last[:-1])
        z = points[:, 0] + 1j * points[:, 1]
        place, weight = _along(z[first], z[first + 1])
        total = float(weight.sum())
        if total <= 0:
            return cls(centre=np.zeros(2), axes=np.eye(2))
        weight /= total
        centre = complex(weight @ place)
        place = place - centre
        spread = np.abs(place) ** 2
        size = float(np.sqrt(weight @ spread))
        place, spread = place / size, spread / size**2
        heavy = np.array([weight * spread**e for e in _SPREADS])
        moment, power = [], place
        for _ in range(len(_ORDERS) // len(_SPREADS)):
            moment += (heavy @ power).tolist()
            power = power * place
        turn, mirrored = _first_of(np.array(moment))
        x = np.array([np.cos(turn), np.sin(turn)])
        y = np.array([-x[1], x[0]])
        return cls(
            centre=np.array([centre.real, centre.imag]), axes=np.array([x, -y if mirrored else y])
        )

    def inside(self, points: Floats) -> Floats:
        """``(..., 2)`` places on the panel as they are in the frame, on its grid."""
        return np.asarray(np.rint((points - self.centre) @ self.axes.T / GRID_MM) * GRID_MM)

    def outside(self, points: Floats) -> Floats:
        """``(..., 2)`` places in the frame as they are on the panel."""
        return np.asarray(points @ self.axes + self.centre)


def _along(a: Complexes, b: Complexes) -> tuple[Complexes, Floats]:
    """Places on strokes with the length that each stands for."""
    at, share = np.polynomial.legendre.leggauss(_GAUSS)
    place = a[:, None] + (b - a)[:, None] * (at + 1) / 2
    weight = np.abs(b - a)[:, None] * share / 2
    return place.ravel(), weight.ravel()


def _first_of(moment: Complexes) -> tuple[float, bool]:
    """The direction of the frame, and whether it is a mirror image."""
    telling = np.flatnonzero(np.abs(moment) > _PLAIN)
    if not len(telling):
        return 0.0, False
    k = int(_ORDERS[telling[0]])
    turn = (np.angle(moment[telling[0]]) + 2 * np.pi * np.arange(k)) / k
    seen = moment * np.exp(-1j * np.outer(turn, _ORDERS))
    rows = np.concatenate([seen, seen.conj()])
    told = np.concatenate([rows.real, rows.imag], axis=1)
    left = np.arange(2 * k)
    for column in told.T:
        left = left[column[left] >= column[left].max() - _ALIKE]
    mirrored, which = divmod(int(left[0]), k)
    return float(turn[which]), bool(mirrored)

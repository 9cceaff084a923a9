"""Lines led closer round keep-outs that they leave much ground bare at.

A large plate, rolled along a keep-out, bends lines least and leaves most ground bare before and
behind it. Where that is much, smaller plates are tried (``docs/decisions/0021``).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np
import shapely

from loftline.fills.bend_checks import (
    ENOUGH,
    LEAST_RADIUS_MM,
    Rows,
    crowded,
    entered,
    tightest,
    voids,
)
from loftline.fills.openings import LEANS, PLATES, Opening, Slit
from loftline.fills.slits import Frame, open_all
from loftline.values import Field, Floats

_MOST_CLOSER: Final = 4
_ALIKE: Final = 0.05
_SLANT: Final = 0.2


class Passed(NamedTuple):
    """Lines that pass all slits, how each is opened, and what is wrong with them."""

    lines: Rows
    openings: list[Opening]
    wrong: list[int]


class Ground(NamedTuple):
    """Where lines bend: the field, the lines' axes, their spacing and offsets."""

    field: Field
    frame: Frame
    spacing: float
    offsets: Floats

    def passed(self, slits: list[Slit]) -> Passed:
        """The lines with all slits opened."""
        openings = open_all(slits, self.spacing, self.frame.count)
        y = np.repeat(self.offsets[:, None], self.frame.count, axis=1)
        for opening in openings:
            opening.add_to(y, self.offsets)
        lines = Rows(offsets=self.offsets, y=y, spacing=self.spacing)
        wrong = entered(lines, slits) or crowded(lines, openings, self.field, self.frame)
        return Passed(lines, openings, wrong)

    def voids(self, passed: Passed, slits: list[Slit]) -> Floats:
        """How much ground each slit leaves bare."""
        return voids(passed.lines, slits, passed.openings, self.field, self.frame)


def _leaning(slit: Slit) -> Slit:
    """A slit whose lines follow the slant of its keep-out more closely; itself if it has none."""
    middle = (slit.low + slit.high)[slit.there]
    aslant = np.ptp(middle) > _SLANT * (np.nanmax(slit.high) - np.nanmin(slit.low))
    return replace(slit, lean=LEANS[1]) if aslant and slit.lean != LEANS[1] else slit


def _rolled_by(radius: float) -> Callable[[Slit], Slit]:
    """With a plate of this radius, where the slit has a larger one."""
    plate = PLATES.index(radius)
    return lambda slit: replace(slit, plate=plate) if PLATES[slit.plate] > radius else slit


_CLOSER: Final = (_leaning, _rolled_by(1.6), _rolled_by(1.0))
"""What leads lines closer. A smaller plate pinches the lines beside the keep-out: it is for what
cannot be passed else."""


def led_closer(
    ground: Ground, passed: Passed, slits: list[Slit], shapes: list[shapely.Polygon]
) -> Passed:
    """The lines led closer round what they leave much ground bare at, as far as they may be.

    Keep-outs of one size are passed alike, wherever they lie.
    """
    size = np.array([sum(shapes[i].area for i in slit.members) for slit in slits])
    alike = np.abs(size / size[:, None] - 1) < _ALIKE
    wide = ground.voids(passed, slits)
    for closer in _CLOSER:
        fixed = np.zeros(len(slits), bool)
        for _ in range(_MOST_CLOSER):
            other = [closer(slit) for slit in slits]
            changed = np.array([a is not b for a, b in zip(slits, other, strict=True)], bool)
            chosen = alike[(wide > ENOUGH) & changed & ~fixed].any(axis=0)
            if not chosen.any():
                break
            other = [b if c else a for a, b, c in zip(slits, other, chosen, strict=True)]
            tried = ground.passed(other)
            fresh = ground.voids(tried, other)
            tight = np.array([tightest(tried.lines, opening) for opening in tried.openings])
            before = np.array([tightest(passed.lines, opening) for opening in passed.openings])
            worse = tight < np.minimum(before, LEAST_RADIUS_MM)
            worse |= fresh > np.maximum(wide, ENOUGH)
            worse[tried.wrong] = True
            if not worse.any():
                slits, passed, wide = other, tried, fresh
                break
            stays = alike[worse].any(axis=0)
            # what went wrong elsewhere was caused by one of those that were led closer
            fixed |= stays if (stays & chosen).any() else chosen
    return passed

"""Chance that hangs on the place alone.

A number is drawn from what is asked (a seed, a cell, a pair of names) and from nothing else,
so there is no order in which numbers must be drawn: what is far from a change draws what it
drew before. Mixing as in SplitMix64 (Steele, Lea and Flood 2014).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from loftline.values import Floats

Names = npt.NDArray[np.uint64]
"""Names of things that draw: 64 bits each."""

_GOLDEN = np.uint64(0x9E3779B97F4A7C15)
_FIRST = np.uint64(0xBF58476D1CE4E5B9)
_SECOND = np.uint64(0x94D049BB133111EB)
_LOW_BITS = (1 << 64) - 1


def _mixed(names: Names) -> Names:
    names = (names ^ (names >> np.uint64(30))) * _FIRST
    names = (names ^ (names >> np.uint64(27))) * _SECOND
    mixed: Names = names ^ (names >> np.uint64(31))
    return mixed


def named(seed: int, *keys: npt.NDArray[np.int64] | Names) -> Names:
    """A name for each row of keys, another for every seed.

    >>> bool(named(1, np.array([3]))[0] == named(2, np.array([3]))[0])
    False
    """
    state = _mixed(np.array([seed & _LOW_BITS], np.uint64) + _GOLDEN)
    for key in keys:
        state = _mixed(state ^ (key.astype(np.uint64) * _GOLDEN + _SECOND))
    return state


def chance(names: Names, draw: int) -> Floats:
    """Numbers from 0 to 1 (1 excluded), one for each name.

    Args:
        names: from :func:`named`.
        draw: one name may draw several numbers; which one this is.
    """
    bits = _mixed(names ^ _mixed(np.array([draw], np.uint64) * _FIRST + _GOLDEN))
    return np.asarray((bits >> np.uint64(11)) * 2.0**-53, np.float64)

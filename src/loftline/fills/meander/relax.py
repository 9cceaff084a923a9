"""Shake a raw curve out until its lines lie evenly: an elastic curve that wants to be longer.

Three things act on the curve at every pass. Neighbouring strands push each other apart; the
edge pushes everything inward, to a distance that wavers from place to place; and the curve is
a stiff wire that grows wherever its neighbours leave it room. Growth is the same everywhere
and always, so a strand knows nothing of what is far from it, and comes to lie at the wanted
spacing by what is near. Stiffness and growth are solved for the whole curve at once with the
Fourier transform, which even steps allow, so that passes may be long. Curves of this family
were used for drawn mazes by Pedersen and Singh (2006).

All distances are counted in local spacings: where lines shall lie wider, steps are longer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import fft

from loftline.fills.meander.depth import KEPT, Depth
from loftline.fills.meander.loop import Curve, Loop, resample
from loftline.fills.meander.near import near_pairs
from loftline.fills.meander.pace import Pace
from loftline.values import Floats, Ints

REACH = 1.5
"""Strands closer than this (in spacings) push each other apart ..."""
ALONG = 0.9
"""... unless they are pieces of the same bend: nearer than this along the curve."""
PUSH = 0.6
WALL = 0.4
WALL_WAVER = 0.16
WALL_PUSH = 0.45
LONGEST_MOVE = 0.25
"""Of a step, in one pass: less than half, so that two strands cannot pass through each other."""
PADDING = 64
"""Points by which a curve is drawn on at its ends, where it is solved."""
_AT_END = 64
"""More points than an open curve is held by at one end."""
GROWTH = 0.22
"""Of the growth at which the wire would buckle without end, 2 √stiffness. It sets the length:
with this much, area / length of line comes out as the spacing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """How a number of passes is done.

    Attributes:
        passes: how many.
        step: between points of the curve, in spacings.
        stiffness: weight of the fourth differences; it grows as ``1 / step⁴``.
        jump: longest way of a point in one pass, in spacings.
        search: passes after which points are spread and neighbours are searched anew.
    """

    passes: int
    step: float
    stiffness: float
    jump: float = 0.1
    search: int = 4


COARSE = Stage(passes=64, step=0.32, stiffness=0.4)
GENTLE = Stage(passes=150, step=0.2, stiffness=2.5, jump=0.05, search=2)
"""For a curve that the coarse stage pulled over a keep-out as thin as a needle."""
FINE = Stage(passes=20, step=0.2, stiffness=2.5)
QUICK = Stage(passes=28, step=0.32, stiffness=0.4)


@dataclass(frozen=True, slots=True, kw_only=True)
class Settling:
    """What a curve settles in.

    Attributes:
        pace: wanted distance between neighbouring strands.
        depth: depths of its area.
        turn: four angles; they say where the distance from the edge is large or small.
        held: so far from its ends an open curve is held, in mm: where it comes in.
    """

    pace: Pace
    depth: Depth
    turn: Floats
    held: float = 0.0

    def wall(self, places: Loop, spacing: Floats) -> Floats:
        """Distance from the edge below which each place is pushed inward.

        It wavers from place to place, so that no line runs along the edge for long.
        """
        wide = (self.pace.start * self.pace.end) ** 0.5
        x, y, t = places.real / wide, places.imag / wide, self.turn
        waver = np.sin(2.1 * x + t[0] + 1.3 * np.sin(0.9 * y + t[1])) * np.sin(
            2.3 * y + t[2] + 1.7 * np.sin(0.8 * x + t[3])
        )
        wall: Floats = spacing * (WALL + WALL_WAVER * waver)
        return wall

    def free(self, curve: Curve) -> slice:
        """Points that may move."""
        if curve.closed:
            return slice(None)
        start, end = curve.points[:_AT_END], curve.points[: -_AT_END - 1 : -1]
        held = (int((np.cumsum(np.abs(np.diff(x))) <= self.held).sum()) for x in (start, end))
        return slice(1 + next(held), len(curve) - 1 - next(held))


def close_pairs(curve: Curve, step: float, spacing: Floats) -> tuple[Ints, Ints]:
    """Pairs of points of different strands that may come within reach before the next search."""
    first, second = near_pairs(curve.points, 1.15 * REACH * spacing)
    apart = np.abs(first - second)
    if curve.closed:
        apart = np.minimum(apart, len(curve) - apart)
    other = apart > ALONG / step
    return first[other], second[other]


def strand_push(loop: Loop, first: Ints, second: Ints, reach: Floats | float) -> Loop:
    """Sum of the pushes that neighbouring strands give each point."""
    gap = loop[first] - loop[second]
    size = np.sqrt(gap.real**2 + gap.imag**2) + 1e-9
    weight = np.maximum(1 - size / reach, 0.0)
    gap *= weight * weight / size
    count = len(loop)
    push = np.empty(count, np.complex128)
    x, y = gap.real, gap.imag
    push.real = np.bincount(first, x, count) - np.bincount(second, x, count)
    push.imag = np.bincount(first, y, count) - np.bincount(second, y, count)
    return push


def smoothed(curve: Curve, keep: Floats) -> Loop:
    """Solve stiffness and growth for all of a curve at once.

    Args:
        curve: the curve.
        keep: from :func:`kept_waves`.
    """
    pad = _pad(curve)
    wave = np.zeros(len(keep), np.complex128)
    # from a point of the curve, not from the origin: what lies beyond the padding is 0
    wave[: len(curve) + 2 * pad] = curve.padded(pad) - curve.points[0]
    solved: Loop = fft.ifft(fft.fft(wave) * keep)[pad : pad + len(curve)] + curve.points[0]
    return solved


def _pad(curve: Curve) -> int:
    return PADDING if curve.closed else min(PADDING, len(curve) - 1)


def kept_waves(curve: Curve, stage: Stage) -> Floats:
    """What one pass leaves of each wave of a curve with padding at both ends.

    The padding is longer than anything is felt along the curve; its length is filled up to
    one that the fast Fourier transform likes.
    """
    count = int(fft.next_fast_len(len(curve) + 2 * _pad(curve)))
    wave = 2 - 2 * np.cos(2 * np.pi * fft.fftfreq(count))
    growth = GROWTH * 2 * stage.stiffness**0.5
    keep: Floats = 1 / (1 - growth * wave + stage.stiffness * wave * wave)
    return keep


def relax(curve: Curve, settling: Settling, stage: Stage, tick: Callable[[], None]) -> Curve:
    """Let a curve settle.

    Args:
        curve: the curve.
        settling: what it settles in.
        stage: how many passes, how fine.
        tick: called once a pass.
    """
    depth, pace = settling.depth, settling.pace
    first = second = np.empty(0, np.int64)
    keep, spacing = np.empty(0), np.empty(0)
    reach: Floats | float = REACH * pace.finest
    free = slice(None)
    for turn in range(stage.passes):
        if turn % stage.search == 0:
            curve = resample(curve, stage.step, pace.at(curve.points))
            spacing = pace.at(curve.points)
            first, second = close_pairs(curve, stage.step, spacing)
            if pace.graded:
                reach = REACH * 0.5 * (spacing[first] + spacing[second])
            keep = kept_waves(curve, stage)
            free = settling.free(curve)
        loop, step = curve.points, stage.step * spacing
        move = strand_push(loop, first, second, reach) * (PUSH * step)
        near = depth.near_edge(loop)
        shallow, wide = loop[near], spacing[near]
        depths, inward = depth.at(shallow)
        move[near] += inward * (WALL_PUSH * np.maximum(settling.wall(shallow, wide) - depths, 0.0))
        move *= np.minimum(1.0, LONGEST_MOVE * step / np.maximum(np.abs(move), 1e-12))
        # all of the curve at once: implicit in stiffness and growth, explicit in the pushes
        move = smoothed(curve.at(loop + move), keep) - loop
        move *= np.minimum(1.0, stage.jump * spacing / np.maximum(np.abs(move), 1e-12))
        # what is about to leave the ground is set back just inside
        inward /= np.maximum(np.abs(inward), 0.1)
        depths = depths + (move[near] * inward.conjugate()).real
        move[near] += inward * np.maximum(KEPT * wide - depths, 0.0)
        moved = loop.copy()
        moved[free] += move[free]
        curve = curve.at(moved)
        tick()
    return curve

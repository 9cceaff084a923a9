"""Shake a raw curve out until its lines lie evenly: an elastic loop that keeps its length.

Four things act on the loop at every pass. Neighbouring strands push each other apart; the
edge pushes everything inward, to a distance that wavers from place to place; stiffness
straightens kinks; and tension makes the loop shorter or longer until its length fills the
area at the wanted spacing. Stiffness and tension are solved for the whole loop at once with
the Fourier transform, which a closed loop of even steps allows, so that passes may be long.
Loops of this family were used for drawn mazes by Pedersen and Singh (2006).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import fft
from scipy.spatial import cKDTree

from loftline.fills.meander.depth import KEPT, Depth
from loftline.fills.meander.loop import Loop, as_points, length, resample
from loftline.values import Floats, Ints

REACH = 1.5
"""Strands closer than this (in spacings) push each other apart ..."""
ALONG = 0.9
"""... unless they are pieces of the same bend: nearer than this along the loop."""
PUSH = 0.6
WALL = 0.4
WALL_WAVER = 0.2
WALL_PUSH = 0.4
WOUND_UP = 0.5
"""Farther than this from its length the loop's tension does not learn: it would overshoot."""
LONGEST_MOVE = 0.25
"""Of a step, in one pass: less than half, so that two strands cannot pass through each other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """How a number of passes is done.

    Attributes:
        passes: how many.
        step: between points of the loop, in spacings.
        stiffness: weight of the fourth differences; it grows as ``1 / step⁴``.
        jump: longest way of a point in one pass, in spacings.
        search: passes after which points are spread and neighbours are searched anew.
    """

    passes: int
    step: float
    stiffness: float
    jump: float = 0.1
    search: int = 4


COARSE = Stage(passes=150, step=0.32, stiffness=0.4)
GENTLE = Stage(passes=150, step=0.2, stiffness=2.5, jump=0.05, search=2)
"""For a loop that the coarse stage pulled over a keep-out as thin as a needle."""
FINE = Stage(passes=20, step=0.2, stiffness=2.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Settling:
    """What a loop settles to.

    Attributes:
        wanted: length the loop should have.
        spacing: wanted distance between neighbouring strands.
        turn: four angles; they say where the distance from the edge is large or small.
    """

    wanted: float
    spacing: float
    turn: Floats

    def wall(self, loop: Loop) -> Floats:
        """Distance from the edge below which each place is pushed inward.

        It wavers from place to place, so that no line runs along the edge for long.
        """
        x, y, t = loop.real / self.spacing, loop.imag / self.spacing, self.turn
        waver = np.sin(2.1 * x + t[0] + 1.3 * np.sin(0.9 * y + t[1])) * np.sin(
            2.3 * y + t[2] + 1.7 * np.sin(0.8 * x + t[3])
        )
        wall: Floats = self.spacing * (WALL + WALL_WAVER * waver)
        return wall


def close_pairs(loop: Loop, step: float, spacing: float) -> tuple[Ints, Ints]:
    """Pairs of points of different strands that may come within reach before the next search."""
    pairs = cKDTree(as_points(loop)).query_pairs(1.15 * REACH * spacing, output_type="ndarray")
    apart = np.abs(pairs[:, 0] - pairs[:, 1])
    apart = np.minimum(apart, len(loop) - apart)
    pairs = pairs[apart > ALONG * spacing / step]
    return np.ascontiguousarray(pairs[:, 0]), np.ascontiguousarray(pairs[:, 1])


def strand_push(loop: Loop, first: Ints, second: Ints, spacing: float) -> Loop:
    """Sum of the pushes that neighbouring strands give each point."""
    gap = loop[first] - loop[second]
    size = np.sqrt(gap.real**2 + gap.imag**2) + 1e-9
    weight = np.maximum(1 - size / (REACH * spacing), 0.0)
    gap *= weight * weight / size
    count = len(loop)
    push = np.empty(count, np.complex128)
    x, y = gap.real, gap.imag
    push.real = np.bincount(first, x, count) - np.bincount(second, x, count)
    push.imag = np.bincount(first, y, count) - np.bincount(second, y, count)
    return push


def relax(
    loop: Loop,
    depth: Depth,
    settling: Settling,
    stage: Stage,
    tension: float,
    tick: Callable[[], None],
) -> tuple[Loop, float]:
    """Let a loop settle.

    Args:
        loop: the loop.
        depth: depths of its area.
        settling: what it settles to.
        stage: how many passes, how fine.
        tension: what the tension had settled to, for points one spacing apart.
        tick: called once a pass.

    Returns:
        The loop, and its tension for the next stage.
    """
    spacing, step, stiff = settling.spacing, stage.step * settling.spacing, stage.stiffness
    # below -2 sqrt(stiff) the loop would buckle without end
    slack = stiff**0.5
    held = tension / stage.step**2
    first = second = np.empty(0, np.int64)
    wave = np.empty(0)
    for turn in range(stage.passes):
        if turn % stage.search == 0:
            loop = resample(loop, step)
            first, second = close_pairs(loop, step, spacing)
            wave = 2 - 2 * np.cos(2 * np.pi * fft.fftfreq(len(loop)))
        move = strand_push(loop, first, second, spacing) * (PUSH * step)
        near = depth.near_edge(loop)
        shallow = loop[near]
        reach, inward = depth.at(shallow)
        move[near] += inward * (WALL_PUSH * np.maximum(settling.wall(shallow) - reach, 0.0))
        size = np.abs(move)
        move *= np.minimum(1.0, LONGEST_MOVE * step / np.maximum(size, 1e-12))
        excess = length(loop) / settling.wanted - 1
        if abs(excess) < WOUND_UP:
            held = min(max(held + 0.06 * excess, -1.5 * slack), 0.8)
        pull = min(max(held + 2.0 * excess, -1.7 * slack), 1.5)
        # all of the loop at once: implicit in stiffness and tension, explicit in the pushes
        move = fft.ifft(fft.fft(loop + move) / (1 + pull * wave + stiff * wave * wave)) - loop
        move *= np.minimum(1.0, stage.jump * spacing / np.maximum(np.abs(move), 1e-12))
        # what is about to leave the ground is set back just inside
        inward /= np.maximum(np.abs(inward), 0.1)
        reach = reach + (move[near] * inward.conjugate()).real
        move[near] += inward * np.maximum(KEPT * spacing - reach, 0.0)
        loop = loop + move
        tick()
    return loop, held * stage.step**2

"""Panels and lines turned or seen in a mirror, and lines drawn from other places."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TypeVar

import numpy as np
import numpy.typing as npt
from shapely import affinity

from loftline.values import Area, Lines, Panel, Point
from support_rings import as_lines

Floats = npt.NDArray[np.float64]
Shape = TypeVar("Shape", bound=Area)


def moved_panel(
    panel: Panel, lines: Lines, degrees: float, *, mirrored: bool
) -> tuple[Panel, Lines]:
    """The same panel and lines turned round the origin, after a mirror on the y axis if asked."""
    turn = math.radians(degrees)
    across = -1.0 if mirrored else 1.0
    matrix = np.array(
        [
            [across * math.cos(turn), -math.sin(turn)],
            [across * math.sin(turn), math.cos(turn)],
        ]
    )

    def move(points: Floats) -> Floats:
        there: Floats = points @ matrix.T
        return there

    def place(point: Point) -> Point:
        x, y = move(np.array(point)).tolist()
        return x, y

    def area(shape: Shape) -> Shape:
        return affinity.affine_transform(shape, [*matrix.ravel().tolist(), 0.0, 0.0])

    ways = replace(
        panel.ways, points=move(panel.ways.points), joints=move(panel.ways.joints.reshape(-1, 2))
    )
    folds = tuple(
        replace(
            fold,
            start=place(fold.start),
            end=place(fold.end),
            across=tuple(place(point) for point in fold.across),
        )
        for fold in panel.folds
    )
    turned = replace(
        panel, sewable=area(panel.sewable), outline=area(panel.outline), ways=ways, folds=folds
    )
    return turned, replace(lines, points=move(lines.points))


def drawn_anew(lines: Lines, seed: int) -> Lines:
    """The same closed lines in another order, each from another place, some the other way round."""
    rng = np.random.default_rng(seed)
    curves = []
    for i in rng.permutation(len(lines)).tolist():
        round_it = lines.line(i)[:-1]
        round_it = np.roll(round_it, -int(rng.integers(len(round_it))), axis=0)
        # not from a corner, as a rule
        start = round_it[:1] + rng.random() * (round_it[1:2] - round_it[:1])
        curve = np.concatenate([start, round_it[1:], round_it[:1], start])
        curves.append(curve[::-1].copy() if rng.random() < 0.5 else curve)
    return as_lines(curves)

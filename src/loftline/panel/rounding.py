"""Rounded corners: an arc of a true circle in every corner of an outline."""

from __future__ import annotations

import numpy as np

from loftline.geometry import ARC_SEGMENTS, place
from loftline.units import SAME_PLACE_MM, format_length
from loftline.values import Floats

_STRAIGHT = 1e-9
"""Radians; an outline that turns by less has no corner there."""


class TooRound(ValueError):  # noqa: N818 - it is a property of the radius, not an error
    """An edge is too short for the arcs at both its ends."""


def round_corners(corners: Floats, radius: float) -> Floats:
    """Round every corner of an outline, those that turn inward too.

    The arc touches both edges; its points lie on the true circle, at least
    :data:`~loftline.geometry.ARC_SEGMENTS` chords a quarter turn.

    Args:
        corners: ``(n, 2)`` corners in order, the first not repeated.
        radius: of the arcs, mm.

    Returns:
        ``(k, 2)`` corners of the rounded outline, the first not repeated.

    Raises:
        TooRound: an edge is too short for the arcs at both its ends; one sentence with
            the greatest radius that fits.

    >>> square = np.array([[0, 0], [10, 0], [10, 10], [0, 10]])
    >>> round_corners(square, 2.0).min(axis=0).tolist()
    [0.0, 0.0]
    """
    points = _without_repeats(np.asarray(corners, float))
    if radius <= 0 or len(points) < 3:
        return points
    after = np.roll(points, -1, axis=0) - points
    edge = np.hypot(*after.T)
    along = after / edge[:, None]
    before = np.roll(along, 1, axis=0)
    cross = before[:, 0] * along[:, 1] - before[:, 1] * along[:, 0]
    turn = np.arctan2(cross, (before * along).sum(axis=1))
    share = np.tan(np.abs(turn) / 2)  # of the radius, taken from both edges
    taken = share + np.roll(share, -1)
    worst = int(np.argmax(taken * radius - edge))
    if taken[worst] * radius > edge[worst] + SAME_PLACE_MM:
        raise TooRound(_too_round(points, int(np.argmin(edge / taken)), edge, taken, radius))
    pieces: list[Floats] = []
    for corner, into, away, angle, cut in zip(
        points, before, along, turn.tolist(), (share * radius).tolist(), strict=True
    ):
        if abs(angle) < _STRAIGHT:
            pieces.append(corner[None])
        else:
            pieces.append(_arc(corner - cut * into, into, radius, angle))
            pieces[-1][-1] = corner + cut * away
    return _without_repeats(np.concatenate(pieces))


def _arc(start: Floats, into: Floats, radius: float, angle: float) -> Floats:
    """Points of an arc that leaves ``start`` along ``into`` and turns by ``angle`` radians."""
    chords = max(1, int(np.ceil(abs(angle) / (np.pi / 2) * ARC_SEGMENTS - 1e-9)))
    turned = np.linspace(0, abs(angle), chords + 1)
    left = np.array([-into[1], into[0]]) * np.sign(angle)
    points: Floats = start + radius * (
        np.sin(turned)[:, None] * into + (1 - np.cos(turned))[:, None] * left
    )
    return points


def _without_repeats(points: Floats) -> Floats:
    step = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    kept: Floats = points[step > SAME_PLACE_MM]
    return kept


def _too_round(points: Floats, worst: int, edge: Floats, taken: Floats, radius: float) -> str:
    start, end = points[worst], points[(worst + 1) % len(points)]
    most = format_length(float(edge[worst] / taken[worst]), "mm", 2)
    return (
        f"a radius of {format_length(radius, 'mm', 2)} is too large: the edge from {place(start)} "
        f"to {place(end)} has room for {most} at most"
    )

"""Pieces of lines joined by straight links, with round bends at both ends of each link."""

from __future__ import annotations

import math

import numpy as np

from loftline.values import Floats

FILLET = 0.3
"""How far before its corner a bend begins, in spacings, where there is room."""
_HAIR = 1e-3


def rounded(pieces: list[Floats], spacing: float) -> Floats:
    """Pieces of rings joined by straight links, with a bend at both ends of each link."""
    out: list[Floats] = []
    for k, piece in enumerate(pieces):
        after = pieces[(k + 1) % len(pieces)]
        leave, arrive = piece[-1], after[0]
        reach = min(
            FILLET * spacing,
            0.45 * float(np.hypot(*(arrive - leave))),
            0.45 * _length(piece),
            0.45 * _length(after),
        )
        step = (arrive - leave) * (reach / float(np.hypot(*(arrive - leave))))
        before = pieces[k - 1]
        back = min(
            FILLET * spacing,
            0.45 * float(np.hypot(*(piece[0] - before[-1]))),
            0.45 * _length(before),
            0.45 * _length(piece),
        )
        middle = _trimmed(piece, back, reach)
        out += [middle, _bend(middle[-1], leave, leave + step)]
        out.append(_bend(arrive - step, arrive, _trimmed(after, reach, 0.0)[0]))
    joined = np.concatenate([*out, out[0][:1]])
    fresh = np.append(True, np.hypot(*np.diff(joined, axis=0).T) > 1e-6)
    closed: Floats = joined[fresh]
    closed[-1] = closed[0]
    return closed


def _length(curve: Floats) -> float:
    return float(np.hypot(*np.diff(curve, axis=0).T).sum())


def _trimmed(curve: Floats, start: float, end: float) -> Floats:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(curve, axis=0).T))])
    low, high = start, along[-1] - end
    inner = along[(along > low + _HAIR) & (along < high - _HAIR)]
    asked = np.concatenate([[low], inner, [high]])
    return np.column_stack([np.interp(asked, along, curve[:, k]) for k in (0, 1)])


def _bend(start: Floats, corner: Floats, end: Floats) -> Floats:
    """A round bend that leaves towards a corner and arrives from it.

    The conic with weight cos(turn / 2), an arc of a circle where both ways to the corner are
    equally long (textbooks on rational Bezier curves).
    """
    legs = np.stack([corner - start, end - corner])
    legs /= np.maximum(np.hypot(*legs.T), 1e-12)[:, None]
    weight = math.sqrt(max((1.0 + float(legs[0] @ legs[1])) / 2, 0.01))
    t = np.linspace(0, 1, 9)[:, None]
    a, b, c = (1 - t) ** 2, 2 * weight * t * (1 - t), t**2
    return np.asarray((a * start + b * corner + c * end) / (a + b + c), np.float64)

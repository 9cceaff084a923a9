"""Where a run goes straight on from what is sewn already to what is not, or back.

A stitch is either part of a line or sewn over again, so a needle point must part the two. At
the very place another pass may turn off, and pierce the cloth: there it stands a little aside,
on the part that is sewn over again, and what lies between counts as the line.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from loftline.geometry import distance_along
from loftline.stitches.anchors import CORNER_DEGREES, NEAR_MM, STRAIGHT_ON, bends_of
from loftline.stitches.path import Path
from loftline.values import Bools, Floats, Ints, Kind

ASIDE_MM = 0.6
"""Half a millimetre, which tells two holes apart, and rounding."""


def hand_over_aside(path: Path) -> Path:
    """The path with vertices beside such places, where its stretches change their kind."""
    if not (path.kind == Kind.DOUBLE).any():
        return path
    bends = bends_of(path)
    before, after = np.append(-1, path.kind[:-1]), path.kind
    here = path.joint & ~bends.sharper(STRAIGHT_ON) & (bends.near > 0)
    turned = np.zeros(int(path.node.max()) + 1, bool)
    turned[path.node[path.joint & bends.sharper(math.radians(CORNER_DEGREES))]] = True
    here &= turned[path.node]
    here &= np.append(False, path.stitch[1:] == path.stitch[:-1])
    room = bends.step > ASIDE_MM + NEAR_MM
    onto = here & (before == Kind.DOUBLE) & (after == Kind.LINE) & np.append(False, room[:-1])
    off = here & (before == Kind.LINE) & (after == Kind.DOUBLE) & room
    # a stretch with such a place at both its ends has room for one only
    onto[1:] &= ~off[:-1]
    stretch = np.concatenate([np.flatnonzero(onto) - 1, np.flatnonzero(off)])
    if not len(stretch):
        return path
    back = np.arange(len(stretch)) < int(onto.sum())
    part = ASIDE_MM / bends.step[stretch]
    part = np.where(back, 1.0 - part, part)
    order = np.argsort(stretch)
    return _split(path, stretch[order], part[order], back[order])


def _split(path: Path, stretch: Ints, part: Floats, back: Bools) -> Path:
    """Split stretches; where ``back`` the second half is a line, else the first."""
    n = len(path.points)
    old = np.arange(n) + np.searchsorted(stretch, np.arange(n), side="left")
    new = stretch + np.arange(1, len(stretch) + 1)
    source = np.empty(n + len(stretch), np.int64)
    source[old], source[new] = np.arange(n), stretch
    points = path.points[source]
    start, end = path.points[stretch], path.points[stretch + 1]
    points[new] = start + part[:, None] * (end - start)
    kind, joint, node = path.kind[source], path.joint[source], path.node[source]
    joint[new], node[new] = True, -1
    share = path.share[source]
    share[new - 1, 1] = share[new, 0] = part
    sewn, sewn_to = (np.where(v < 0, -1, old[v])[source] for v in (path.sewn, path.sewn_to))
    lined = np.where(back, new, new - 1)
    kind[lined], sewn[lined], sewn_to[lined] = int(Kind.LINE), -1, -1
    starts = np.append(old[path.starts[:-1]], len(points))
    return replace(
        path,
        points=points,
        starts=starts,
        kind=kind,
        line=path.line[source],
        stitch=path.stitch[source],
        joint=joint,
        node=node,
        along=distance_along(points, starts),
        sewn=sewn,
        sewn_to=sewn_to,
        share=share,
    )

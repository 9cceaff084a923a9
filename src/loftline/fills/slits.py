"""Where parallel lines part to pass keep-outs, and how far each slit opens beside the others."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely
from shapely import affinity

from loftline.fills.bendable import GRID_MM
from loftline.fills.openings import COLUMN_MM, Opening, Slit, opened, profile
from loftline.geometry import axes
from loftline.values import Field, Floats

TOGETHER: Final = 1.2
"""Of the spacing: keep-outs that lie closer are passed together, with no line between them."""

_TALLER: Final = 1.6
"""Passed together, two are at most so many times taller than the taller of them."""

_BESIDE: Final = 0.6
"""Of the spacing: with less between a keep-out and the edge, no line passes there."""

_NIBBLES: Final = 0.5
"""Of the spacing: what reaches less far into the part cuts its lines."""

_BLOCKED: Final = 0.05
_ALIKE: Final = 0.05
_HAIR_MM: Final = 1e-6
_SWEEPS: Final = 8
_SETTLED_MM: Final = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """The lines' own axes: x along them in columns, y across."""

    along: Floats
    across: Floats
    origin: Floats
    start: float
    count: int

    def inward(self, points: Floats) -> Floats:
        """From the panel's axes to the lines'."""
        moved = points - self.origin
        return np.asarray(np.column_stack([moved @ self.along, moved @ self.across]), np.float64)

    def outward(self, points: Floats) -> Floats:
        """From the lines' axes to the panel's."""
        moved = self.origin + points[..., :1] * self.along + points[..., 1:] * self.across
        return np.asarray(moved, np.float64)

    @property
    def x(self) -> Floats:
        """Where the columns stand."""
        return np.asarray(self.start + np.arange(self.count) * COLUMN_MM, np.float64)


def frame_of(field: Field, angle: float) -> Frame:
    """The axes of lines in a field."""
    along, across = axes(angle)
    origin = np.asarray(field.centre, np.float64)
    far = (shapely.get_coordinates(field.region) - origin) @ along
    start = float(np.floor(far.min())) - 2 * COLUMN_MM
    count = int((far.max() - start) / COLUMN_MM) + 3
    return Frame(along=along, across=across, origin=origin, start=start, count=count)


def find_slits(
    field: Field,
    frame: Frame,
    shapes: list[shapely.Polygon],
    spacing: float,
    offsets: Floats,
) -> list[Slit]:
    """A slit for each keep-out, or for some that lie close together."""
    ground = shapely.union_all([field.region, *shapes], grid_size=GRID_MM)
    # what only nibbles at the edge is not worth a bend
    inner = field.outline.buffer(-_NIBBLES * spacing)
    found: list[Slit] = []
    for i, shape in enumerate(shapes):
        if not shapely.intersects(shape, inner):
            continue
        ring = frame.inward(shapely.get_coordinates(shape.exterior))
        low, high = profile(ring, frame.start, frame.count)
        if np.isfinite(low).any():
            at = _between(offsets, _parting(shape, ground, frame, spacing, (low, high)), spacing)
            found.append(Slit(members=(i,), at=at, low=low, high=high))
    while True:
        joined = _joined(found, shapes, spacing, offsets)
        if joined is None:
            return found
        found = joined


def _parting(
    shape: shapely.Polygon,
    ground: shapely.Geometry,
    frame: Frame,
    spacing: float,
    reach: tuple[Floats, Floats],
) -> float:
    """Where lines part: in the keep-out's middle, or at its far side where no line has room."""
    low, high = reach
    blocked = []
    for way in (1, -1):
        x, y = (way * _BESIDE * spacing * frame.across).tolist()
        moved = affinity.translate(shape, x, y)
        beyond = shapely.difference(moved, ground, grid_size=GRID_MM)
        blocked.append(beyond.area > _BLOCKED * shape.area)
    if blocked[0] == blocked[1]:
        return float(np.nanmean((low + high) / 2))
    if blocked[0]:
        return float(np.nanmax(high)) + spacing / 2
    return float(np.nanmin(low)) - spacing / 2


def _between(offsets: Floats, at: float, spacing: float) -> float:
    """The place midway between two lines that is nearest."""
    return float(offsets[0] + (np.floor((at - offsets[0]) / spacing) + 0.5) * spacing)


def _joined(
    found: list[Slit], shapes: list[shapely.Polygon], spacing: float, offsets: Floats
) -> list[Slit] | None:
    """The slits with two that lie close together made one; nothing where there are none."""
    for number, one in enumerate(found):
        for number_too, other in enumerate(found[:number]):
            if not _close(one, other, shapes, spacing):
                continue
            low, high = np.fmin(one.low, other.low), np.fmax(one.high, other.high)
            tall = max(_tall(one.low, one.high), _tall(other.low, other.high))
            if _tall(low, high) > _TALLER * tall:
                continue
            at = one.at
            if one.at != other.at and not (one.one_sided or other.one_sided):
                at = _between(offsets, float(np.nanmean((low + high) / 2)), spacing)
            both = Slit(members=(*other.members, *one.members), at=at, low=low, high=high)
            left = [slit for k, slit in enumerate(found) if k not in (number, number_too)]
            return [*left, both]
    return None


def _tall(low: Floats, high: Floats) -> float:
    return float(np.nanmax(high) - np.nanmin(low))


def _close(one: Slit, other: Slit, shapes: list[shapely.Polygon], spacing: float) -> bool:
    most = TOGETHER * spacing
    return any(
        bool(shapely.dwithin(shapes[i], shapes[j], most))
        for i in one.members
        for j in other.members
    )


def alike(slits: list[Slit], shapes: list[shapely.Polygon]) -> dict[int, set[int]]:
    """For each keep-out those of its size that lie in a row or field with it, itself too."""
    kin = {i: set(slit.members) for slit in slits for i in slit.members}
    every = sorted(kin)
    for number, i in enumerate(every):
        for j in every[:number]:
            near = 2 * float(np.sqrt(shapes[i].area))
            same = abs(shapes[i].area / shapes[j].area - 1) < _ALIKE
            if same and shapely.dwithin(shapes[i], shapes[j], near):
                joined = kin[i] | kin[j]
                for k in joined:
                    kin[k] = joined
    return kin


def open_all(slits: list[Slit], spacing: float, count: int) -> list[Opening]:
    """Open all slits, each as far as the others leave for it to do.

    What one moves moves the edges of the others too, so they are opened in turn until nothing
    changes any more.
    """
    none = np.zeros(count)
    found = [_facing(slits, k, opened(s, spacing, none, none)) for k, s in enumerate(slits)]
    for _ in range(_SWEEPS):
        change = 0.0
        for k, slit in enumerate(slits):
            edges = np.array([slit.at + _HAIR_MM, slit.at - _HAIR_MM])
            moved = np.zeros((2, count))
            for i, other in enumerate(found):
                if i != k and other.reaches(slit):
                    moved += other.moves(edges)
            fresh = _facing(slits, k, opened(slit, spacing, moved[0], moved[1]))
            change = max(change, float(np.abs(fresh.up - found[k].up).max()))
            change = max(change, float(np.abs(fresh.down - found[k].down).max()))
            found[k] = fresh
        if change < _SETTLED_MM:
            break
    return found


def _facing(slits: list[Slit], k: int, opening: Opening) -> Opening:
    """The opening with its bands from slit to slit where another lies right above or below it.

    So the lines between two are squeezed evenly, and none beyond.
    """
    own = slits[k]
    for other in slits:
        apart = other.at - own.at
        if apart == 0 or not (own.there & other.there).any():
            continue
        if 0 < apart < 2 * opening.band_up:
            opening = replace(opening, band_up=apart)
        if 0 < -apart < 2 * opening.band_down:
            opening = replace(opening, band_down=-apart)
    return opening

"""Openings: how far parallel lines move aside to pass a keep-out, one profile a side.

Lines that are drawn along x, at offsets across, part at a slit: a place between two of them.
Those above it pass over the keep-out, those below it under it. The line next to the slit
follows the keep-out as if a large plate were rolled along it (grey closing by a disc, a
standard tool of image processing), so it leaves the straight and comes back in round bends;
the others move by less and less. Where a keep-out lies aslant, the lines beside it first lean
its way, so that no bare corner is left behind its back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.ndimage import gaussian_filter1d, grey_closing

from loftline.geometry import ranges
from loftline.values import Bools, Floats

COLUMN_MM: Final = 1.0
"""Between places along the lines: on a radius of 8 mm the chord errs by 0.016 mm."""

PLATES: Final = (2.5, 4.0, 1.6, 1.0, 0.6)
"""Radius of the plate that rolls along a keep-out, in heights of the keep-out over the slit.
The first is tried first. A larger one bends lines less, smaller ones leave less ground bare and
lead lines through between keep-outs that lie close together."""

BANDS: Final = (3.0, 4.0, 3.0, 3.0, 3.0)
"""How far across lines move at all, in movements of the nearest: 3 squeezes them to 2/3."""

MOST_SHIFTED: Final = 2
"""Lines by which a slit may lie out of the middle of its keep-out."""

_LEAST_PLATE_MM: Final = 8.0
_SMOOTH_SPACINGS: Final = 0.2
_MOST_SMOOTH_MM: Final = 3.0
LEANS: Final = (0.3, 0.15)
"""Of the keep-out's length: over so much of it a lean is evened out. Over less, lines follow a
keep-out that lies aslant more closely."""
_TRUNCATE: Final = 3.0
_FAR_OFF: Final = 0.08
"""Of the stretch that moves: over so much of it bends are evened out for lines farther off."""

_LEAST_BAND_SPACINGS: Final = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """How a slit moves the lines around it.

    Attributes:
        at: the slit's offset, mm.
        up, down: ``(n,)`` mm by which its edges move in each column, positive is up.
        up_far, down_far: the same with rounder bends, for lines farther off.
        band_up, band_down: mm across, over which the movement dies out.
    """

    at: float
    up: Floats
    down: Floats
    up_far: Floats
    down_far: Floats
    band_up: float
    band_down: float

    @property
    def window(self) -> slice:
        """The columns in which any line moves."""
        moved = np.flatnonzero((self.up_far != 0) | (self.down_far != 0))
        return slice(int(moved[0]), int(moved[-1]) + 1) if len(moved) else slice(0, 0)

    def reaches(self, slit: Slit) -> bool:
        """Whether it moves the edges of another slit beside that one's keep-outs."""
        apart = slit.at - self.at
        near = apart < self.band_up if apart >= 0 else -apart < self.band_down
        return near and bool(slit.there[self.window].any())

    def add_to(self, y: Floats, offsets: Floats) -> None:
        """Move lines at ``(m,)`` rising offsets, in ``(m, n)`` places, in place."""
        window = self.window
        first, end = np.searchsorted(offsets, (self.at - self.band_down, self.at + self.band_up))
        y[first:end, window] += self.moves(offsets[first:end], window)

    def moves(self, offsets: Floats, window: slice = slice(None)) -> Floats:
        """How far lines move, ``(m, n)`` mm.

        Args:
            offsets: ``(m,)`` of the lines; at the slit itself its upper edge is meant.
            window: columns to look at.
        """
        far = offsets - self.at
        out = np.zeros((len(offsets), len(self.up[window])))
        for side, band, near, rounder in (
            (far >= 0, self.band_up, self.up, self.up_far),
            (far < 0, self.band_down, self.down, self.down_far),
        ):
            chosen = side & (np.abs(far) < band)
            share = 1 - np.abs(far[chosen, None]) / band
            far_off = (1 - share) ** 2
            out[chosen] = share * ((1 - far_off) * near[window] + far_off * rounder[window])
        return out


def profile(ring: Floats, start: float, count: int) -> tuple[Floats, Floats]:
    """Lowest and highest place of an area in each column.

    Args:
        ring: ``(m, 2)`` its outer ring, closed.
        start: where column 0 stands.
        count: number of columns.

    Returns:
        Two arrays ``(count,)``, NaN in columns that it does not reach. Corners between two
        columns count in both.
    """
    x, y = (ring[:, 0] - start) / COLUMN_MM, ring[:, 1]
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    left = np.minimum(x[:-1], x[1:])
    first = np.ceil(left).astype(np.int64)
    number = np.maximum(np.floor(np.maximum(x[:-1], x[1:])).astype(np.int64) - first + 1, 0)
    edge = np.repeat(np.arange(len(number)), number)
    column = ranges(first, number)
    run = x[1:] - x[:-1]
    share = np.where(run[edge] == 0, 0.0, (column - x[edge]) / np.where(run == 0, 1.0, run)[edge])
    at = np.concatenate([column, np.floor(x).astype(np.int64), np.ceil(x).astype(np.int64)])
    high_of = np.concatenate([y[edge] + share * (y[edge + 1] - y[edge]), y, y])
    inside = (at >= 0) & (at < count)
    np.maximum.at(high, at[inside], high_of[inside])
    np.minimum.at(low, at[inside], high_of[inside])
    bare = ~np.isfinite(low)
    low[bare] = high[bare] = np.nan
    return low, high


@dataclass(frozen=True, slots=True, kw_only=True)
class Slit:
    """Where lines part for a keep-out, or for some together.

    Attributes:
        members: the keep-outs, by index.
        at: offset between two lines, mm.
        low, high: ``(n,)`` from :func:`profile`.
        plate: which of :data:`PLATES` rolls.
        shifted: by how many lines it was moved out of the middle.
        lean: one of :data:`LEANS`.
    """

    members: tuple[int, ...]
    at: float
    low: Floats
    high: Floats
    plate: int = 0
    shifted: int = 0
    lean: float = LEANS[0]

    def holds(self, at: float) -> bool:
        """Whether an offset lies between the ends of its keep-outs."""
        return bool(np.nanmin(self.low) < at < np.nanmax(self.high))

    @property
    def there(self) -> Bools:
        """Columns in which its keep-outs lie."""
        return np.isfinite(self.low)

    @property
    def one_sided(self) -> bool:
        """Whether all lines pass on one side."""
        return bool(np.nanmax(self.high) <= self.at or np.nanmin(self.low) >= self.at)


def opened(slit: Slit, spacing: float, above: Floats, below: Floats) -> Opening:
    """Open a slit far enough for its keep-outs.

    Args:
        slit: the slit.
        spacing: mm between lines.
        above: ``(n,)`` mm by which others move its upper edge.
        below: the same of its lower edge.
    """
    there = slit.there
    base = slit.at + (above + below) / 2
    middle = np.where(there, (slit.low + slit.high) / 2 - base, 0.0)
    lean = np.zeros(len(middle))
    if not slit.one_sided:
        over_mm = slit.lean * there.sum()
        lean = gaussian_filter1d(middle, over_mm, mode="constant", truncate=_TRUNCATE)
    over = np.where(there, slit.high - slit.at - above - lean, 0.0)
    under = np.where(there, slit.at + below + lean - slit.low, 0.0)
    up = lean + _rolled(np.maximum(over, 0.0), spacing, slit.plate)
    down = lean - _rolled(np.maximum(under, 0.0), spacing, slit.plate)
    least, band = _LEAST_BAND_SPACINGS * spacing, BANDS[slit.plate]
    return Opening(
        at=slit.at,
        up=up,
        down=down,
        up_far=_evened(up),
        down_far=_evened(down),
        band_up=max(band * float(np.abs(up).max()), least),
        band_down=max(band * float(np.abs(down).max()), least),
    )


def _rolled(height: Floats, spacing: float, plate: int) -> Floats:
    """The way of a plate's rim over a profile, its bends evened out."""
    tall = float(height.max())
    if tall <= 0:
        return np.zeros(len(height))
    radius = max(PLATES[plate] * tall, _LEAST_PLATE_MM)
    reach = int(radius / COLUMN_MM)
    turn = np.arange(-reach, reach + 1) * COLUMN_MM
    rim = np.sqrt(np.maximum(radius**2 - turn**2, 0.0)) - radius
    # only as far as the plate touches both the profile and the ground beside it
    first, last = np.flatnonzero(height)[[0, -1]]
    wide = np.pad(height[first : last + 1], 2 * reach)
    wide = grey_closing(wide, structure=rim)
    over = np.zeros(len(height))
    begin = first - 2 * reach
    low, high = max(begin, 0), min(last + 2 * reach + 1, len(height))
    over[low:high] = wide[low - begin : high - begin]
    sigma = min(_SMOOTH_SPACINGS * spacing, _MOST_SMOOTH_MM) / COLUMN_MM
    round_: Floats = gaussian_filter1d(over, sigma, mode="nearest", truncate=_TRUNCATE)
    return round_


def _evened(move: Floats) -> Floats:
    """A movement without its sharper bends, for lines farther off."""
    there = np.count_nonzero(move)
    out: Floats = gaussian_filter1d(move, max(_FAR_OFF * there, 1.0), truncate=_TRUNCATE)
    return out

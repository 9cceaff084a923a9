"""Meander: one wandering line that fills an area and never crosses itself.

How a line comes about, one module a step::

    ground     the area a little drawn in, with plain edges, rounded corners and no thin ends
    depth      how deep each place lies inside it
    seeds      random places, evenly spread
    tree       a random tree over the seeds; the walk round it is one closed curve
    relax      the curve shakes itself out until its strands lie evenly
    rounding   bends that are too tight are rounded
    curve      all of it for one plot of ground; the latest stage that is proved good is taken

The steps use grids and moves of finite size; the proof at the end is exact.
"""

from __future__ import annotations

import numpy as np
import shapely
from scipy import ndimage
from scipy.spatial import cKDTree
from shapely import Polygon

from loftline.errors import Finding, Step, does_nothing
from loftline.fills.meander.curve import PASSES, plots_of, wander
from loftline.fills.meander.depth import depth_grid
from loftline.fills.meander.ground import plain_ground
from loftline.fills.meander.loop import Loop, as_points, closed_points, length
from loftline.geometry import only_polygons, place, pole, polygons
from loftline.units import format_length
from loftline.values import Area, Floats, Point

__all__ = ["meander"]

FAR = 1.3
"""A place farther than this from every line (in spacings) is bare."""
LEAST_LINE = 2.0
"""A shorter loop (in spacings) is no quilting: the ground counts as bare."""
BARE_AREA = 2.0
"""Bare ground of more than this (in square spacings) is reported."""


def meander(
    region: Area, spacing: float, seed: int, step: Step = does_nothing
) -> tuple[list[Floats], tuple[Finding, ...]]:
    """Fill a region with meanders: one closed line for each of its parts.

    A line is the walk round a random tree, shaken out like an elastic loop and rounded. A
    part gets more than one line only where a neck is too thin for two strands of one; a part
    that is too small or thin for any gets none, and a finding.

    Args:
        region: where the lines may lie, in mm.
        spacing: wanted distance between neighbouring lines in mm; area / length of line comes
            out within a few per cent of it.
        seed: same seed, same region, same spacing: same lines (on one version of numpy,
            scipy and GEOS).
        step: progress callback; what it raises passes through.

    Returns:
        Closed lines ``(k, 2)``, the first point repeated last, points 0.25 to 0.5 mm apart,
        each proved simple and inside the region, no two of them meeting; and findings
        ``part-left-bare``.

    Raises:
        ValueError: if the spacing is not a positive number.

    O(n log n) for n = area / spacing²; about 0.4 ms for each square spacing.

    >>> lines, findings = meander(shapely.box(0, 0, 60, 60), 12, seed=1)
    >>> len(lines), findings
    (1, ())
    >>> bool(shapely.is_simple(shapely.LinearRing(lines[0])))
    True
    """
    if not (np.isfinite(spacing) and spacing > 0):
        raise ValueError(f"the spacing of a meander must be more than 0 mm, not {spacing:g} mm")
    lines: list[Floats] = []
    findings: list[Finding] = []
    parts = polygons(region if region.is_valid else only_polygons(shapely.make_valid(region)))
    for index, part in enumerate(parts):
        count = Count(step, index * PASSES, (index + 1) * PASSES, len(parts) * PASSES)
        # each part draws its own numbers, so that it does not change with its neighbours
        rng = np.random.default_rng([abs(seed), int(seed < 0), index])
        loops = part_lines(part, spacing, rng, count)
        lines += [closed_points(loop) for loop in loops]
        findings += bare_findings(part, loops, spacing)
        count.finish()
    return lines, tuple(findings)


class Count:
    """Counts the passes of one part for the progress callback."""

    def __init__(self, step: Step, done: int, last: int, total: int) -> None:
        self._step, self._done, self._last, self._total = step, done, last, total
        self._step("meander", done, total)

    def __call__(self) -> None:
        """One pass more; a part that takes more passes than planned waits at its end."""
        self._done = min(self._done + 1, self._last)
        self._step("meander", self._done, self._total)

    def finish(self) -> None:
        """The part is done, however many passes it took."""
        self._step("meander", self._last, self._total)


def part_lines(part: Polygon, spacing: float, rng: np.random.Generator, count: Count) -> list[Loop]:
    """Lines of one part, none meeting another."""
    shapely.prepare(part)
    loops: list[Loop] = []
    for ground in plain_ground(part, spacing):
        for plot in plots_of(ground, spacing, rng):
            loop = wander(plot, part, loops, spacing, rng, count)
            if loop is not None and length(loop) >= LEAST_LINE * spacing:
                loops.append(loop)
    return loops


def bare_findings(part: Polygon, loops: list[Loop], spacing: float) -> list[Finding]:
    """Report ground of a part that no line comes near."""
    if not loops:
        return [bare("A piece", pole(part), spacing)]
    # half as fine as for planning is fine enough here
    grid = depth_grid(part, 2 * spacing, 0.5)
    inside = np.flatnonzero(grid.table[:, 0] > 0)
    strands = cKDTree(np.concatenate([as_points(loop)[::4] for loop in loops]))
    away, _ = strands.query(as_points(grid.places(inside)), distance_upper_bound=FAR * spacing)
    far = np.zeros(grid.rows * grid.columns, dtype=bool)
    far[inside[np.isinf(away)]] = True
    label, _ = ndimage.label(far.reshape(grid.rows, grid.columns))
    size = np.bincount(label.ravel()) * (grid.cell / spacing) ** 2
    found = []
    for number in np.flatnonzero(size[1:] > BARE_AREA) + 1:
        spots = grid.places(np.flatnonzero(label.ravel() == number))
        spot = spots[np.argmin(np.abs(spots - spots.mean()))]
        found.append(bare("A corner", (spot.real, spot.imag), spacing))
    return found


def bare(what: str, at: Point, spacing: float) -> Finding:
    """The finding for ground that gets no line."""
    return Finding(
        code="part-left-bare",
        severity="warning",
        where=place(at),
        message=f"{what} of the quilting design is too small or thin for a meander with "
        f"{format_length(spacing)} spacing and gets no line.",
        remedy="Take a smaller spacing or another design there, or leave it as it is.",
    )

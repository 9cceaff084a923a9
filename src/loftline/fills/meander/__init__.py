"""Meander: one wandering line that fills an area and never crosses itself.

How a line comes about, one module a step::

    ground     the area a little drawn in, with plain edges, rounded corners and no thin ends
    depth      how deep each place lies inside it
    seeds      random places, evenly spread
    plots      pieces of ground that carry one curve each
    tree       a random tree over the seeds; the walk round it is one closed curve
    relax      the curve shakes itself out until its strands lie evenly
    rounding   bends that are too tight are rounded
    curls      small loops, where they are asked for
    curve      all of it for one plot of ground; the latest stage that is proved good is taken

Chance hangs on the place alone (``hashing``), and no step looks farther than a few spacings:
where a keep-out is moved, the line changes near it and stays as it was elsewhere. The steps
use grids and moves of finite size; the proof at the end is exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from scipy import ndimage
from scipy.spatial import cKDTree
from shapely import Polygon

from loftline.errors import Finding, Step, does_nothing
from loftline.fills.meander.care import SKETCH, THOROUGH, Wish
from loftline.fills.meander.curve import wander
from loftline.fills.meander.depth import depth_grid
from loftline.fills.meander.ground import plain_ground
from loftline.fills.meander.loop import Curve, as_points
from loftline.fills.meander.pace import Pace
from loftline.fills.meander.plots import plots_of, stems_into
from loftline.geometry import only_polygons, place, pole, polygons
from loftline.units import Unit, format_length
from loftline.values import Area, Floats, Point, Quality

__all__ = ["meander"]

FAR = 1.3
"""A place farther than this from every line (in spacings) is bare."""
CURL_ROOM = 1.35
"""Lines with curls lie so much wider, in spacings, and curls fill what is left between them:
about as much thread lies in an area as without. Closer, curls are either tighter than a fifth of
the spacing or dented by the bends they stand on."""
OTHER_TREES = 4
"""Trees that are tried until one gives a line from entry to exit."""
NEXT_TREE = 104_729
LEAST_LINE = 2.0
"""A shorter loop (in spacings) is no quilting: the ground counts as bare."""
SMALL_AREA = 2.0
"""Bare ground of less than this (in square spacings) is good to know, no more."""
BARE_AREA = 0.2
"""Bare ground of more than this (in square spacings) is reported."""


def meander(
    region: Area,
    spacing: float,
    seed: int,
    step: Step = does_nothing,
    *,
    quality: Quality = "full",
    pace: Pace | None = None,
    ends: tuple[Point, Point] | None = None,
    curls: bool = False,
    units: Unit = "mm",
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
        quality: "quick" draws nearly the same line in half the time.
        pace: spacing by place, instead of one spacing.
        ends: entry and exit. One line leads from the place of the edge nearest to the one to
            the place nearest to the other, and is the first that is returned.
        curls: whether lines make small loops on their way.
        units: the maker's, for findings.

    Returns:
        Lines ``(k, 2)``, points 0.25 to 0.5 mm apart (0.5 to 1 mm when quick), each proved
        simple and inside the region, no two of them meeting. A curl crosses itself once. All
        are closed, their first point repeated last, but for the one from entry to exit. And
        findings ``part-left-bare`` and ``ends-not-joined``.

    Raises:
        ValueError: if the spacing is not a positive number.

    O(n log n) for n = area / spacing²; about 0.2 ms for each square spacing.

    >>> lines, findings = meander(shapely.box(0, 0, 60, 60), 12, seed=1)
    >>> len(lines), findings
    (1, ())
    >>> bool(shapely.is_simple(shapely.LinearRing(lines[0])))
    True
    """
    if not (np.isfinite(spacing) and spacing > 0):
        raise ValueError(f"the spacing of a meander must be more than 0 mm, not {spacing:g} mm")
    care = SKETCH if quality == "quick" else THOROUGH
    pace = pace or Pace.even(spacing)
    pace = pace.times(CURL_ROOM) if curls else pace
    wish = Wish(pace=pace, seed=seed, care=care, curls=curls)
    lines: list[Floats] = []
    findings: list[Finding] = []
    parts = polygons(region if region.is_valid else only_polygons(shapely.make_valid(region)))
    home = None if ends is None else piece_of(parts, ends)
    for index, part in enumerate(parts):
        count = Count(step, index, len(parts), care.passes)
        curves = part_lines(part, wish, count, ends if index == home else None)
        lines += [curve.drawn() for curve in curves]
        findings += bare_findings(part, curves, pace, units)
        count.finish()
    lines.sort(key=_is_loop)
    if ends is not None and parts and (not lines or _is_loop(lines[0])):
        findings.append(ends_apart(ends, apart=home is None))
    return lines, tuple(findings)


def _is_loop(line: Floats) -> bool:
    return np.array_equal(line[0], line[-1])


def piece_of(parts: Sequence[Polygon], ends: tuple[Point, Point]) -> int | None:
    """The part whose outer edge is nearest to both ends, ``None`` where there is none."""
    if not parts:
        return None
    edges = np.asarray([part.exterior for part in parts], dtype=object)
    first, last = (int(shapely.distance(edges, shapely.Point(end)).argmin()) for end in ends)
    return first if first == last else None


class Count:
    """Counts the passes of one part for the progress callback."""

    def __init__(self, step: Step, part: int, parts: int, passes: int) -> None:
        self._step, self._total = step, parts * passes
        self._done, self._last = part * passes, (part + 1) * passes
        self._step("meander", self._done, self._total)

    def __call__(self) -> None:
        """One pass more; a part that takes more passes than planned waits at its end."""
        self._done = min(self._done + 1, self._last)
        self._step("meander", self._done, self._total)

    def finish(self) -> None:
        """The part is done, however many passes it took."""
        self._step("meander", self._last, self._total)


def part_lines(
    part: Polygon, wish: Wish, count: Count, ends: tuple[Point, Point] | None
) -> list[Curve]:
    """Lines of one part, none meeting another.

    Where none leads from end to end, other trees are tried; in the end all are closed.
    """
    shapely.prepare(part)
    grounds = plain_ground(part, wish.pace.finest)
    if ends is not None and grounds:
        places = complex(*ends[0]), complex(*ends[1])
        for other in range(OTHER_TREES):
            another = replace(wish, seed=wish.seed + NEXT_TREE * other)
            curves = ground_lines(part, grounds, another, count, places)
            if any(not curve.closed for curve in curves):
                return curves
    return ground_lines(part, grounds, wish, count, None)


def ground_lines(
    part: Polygon,
    grounds: Sequence[Polygon],
    wish: Wish,
    count: Count,
    ends: tuple[complex, complex] | None,
) -> list[Curve]:
    """Lines of all grounds of a part; the one both ends are nearest to may hold an open one."""
    curves: list[Curve] = []
    home, stems = None, None
    if ends is not None:
        home = piece_of(grounds, ((ends[0].real, ends[0].imag), (ends[1].real, ends[1].imag)))
        stems = None if home is None else stems_into(part, grounds[home], ends)
        if stems is None:
            return []
    for index, ground in enumerate(grounds):
        for plot in plots_of(ground, wish, stems if index == home else None):
            curve = wander(plot, part, curves, wish, count)
            if curve is not None and curve.length() >= LEAST_LINE * wish.pace.finest:
                curves.append(curve)
    return curves


def bare_findings(part: Polygon, curves: list[Curve], pace: Pace, units: Unit) -> list[Finding]:
    """Report ground of a part that no line comes near."""
    if not curves:
        return [bare("a piece", pole(part), pace, units)]
    # half as fine as for planning is fine enough here
    cell = pace.finest / 4
    grid = depth_grid(part, cell, cell, cell)
    inside = np.flatnonzero(grid.table[:, 0] > 0)
    places = grid.places(inside)
    strands = cKDTree(np.concatenate([as_points(curve.points)[::4] for curve in curves]))
    reach = FAR * pace.at(places)
    away, _ = strands.query(as_points(places), distance_upper_bound=FAR * pace.coarsest)
    far = np.zeros(grid.rows * grid.columns, dtype=bool)
    far[inside[away > reach]] = True
    label, _ = ndimage.label(far.reshape(grid.rows, grid.columns))
    weight = np.zeros(len(far))
    weight[inside] = (grid.cell / pace.at(places)) ** 2
    size = np.bincount(label.ravel(), weight)
    found = []
    for number in np.flatnonzero(size[1:] > BARE_AREA) + 1:
        spots = grid.places(np.flatnonzero(label.ravel() == number))
        spot = spots[np.argmin(np.abs(spots - spots.mean()))]
        small = float(size[number]) < SMALL_AREA
        found.append(bare("a corner", (spot.real, spot.imag), pace, units, small=small))
    return found


def ends_apart(ends: tuple[Point, Point], *, apart: bool) -> Finding:
    """The finding for an entry and an exit that no line joins."""
    why = (
        "they lie on two separate pieces of the quilting design"
        if apart
        else "the ground between them is too thin"
    )
    return Finding(
        code="ends-not-joined",
        severity="warning",
        where=place(ends[0]),
        message=f"no one line leads from the entry to the exit, because {why}; the lines are "
        "closed instead",
        remedy="move entry or exit, or take both out",
    )


def bare(what: str, at: Point, pace: Pace, units: Unit, *, small: bool = False) -> Finding:
    """The finding for ground that gets no line; a note where it is a small corner."""
    spacing = float(pace.at(np.array([complex(*at)]))[0])
    return Finding(
        code="part-left-bare",
        severity="note" if small else "warning",
        where=place(at),
        message=f"{what} of the quilting design is too small or thin for a meander with "
        f"a spacing of {format_length(spacing, units)} and gets no line",
        remedy="take a smaller spacing or another design there, or leave it as it is",
    )

"""How the picture looks: colours, widths, sizes of signs and words.

Thread has colour, all else is ink on paper. The colours of the runs were searched for, not
chosen by eye: every pair stays apart in full colour, with each of the three kinds of colour
blindness, and in grey (a test holds the least distances). After the last of them they come
again from the first with other dashes; the run's number, never its look alone, says which
run it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from loftline.values import Panel, Plan
from loftline.writers.svg.marks import num

PAPER = "#fdfcfa"
FABRIC = "#f6f1e8"
TRIM = "#e9e4dc"
TRIM_DOT = "#c4bcb0"
INK = "#33302c"
SOFT_INK = "#6b655d"
FAINT_INK = "#a39b90"
HARD = "#4b4742"
ZONE = "#dfd8cc"
GAP = "#fdfdfd"
WHITE = "#ffffff"

RUN_COLOURS = ("#2d2f73", "#d7641b", "#0e6249", "#a8408e", "#2284d8", "#462102")
"""Indigo, orange, fir green, plum, sky blue, brown."""

RUN_DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (2.4, 0.35),
    (2.4, 0.35, 0.5, 0.35),
    (2.4, 0.35, 0.5, 0.35, 0.5, 0.35),
)
"""Ems of dash and gap, one pattern for every six runs; all longer than those of travel."""

DIFFERENT_RUNS = len(RUN_COLOURS) * len(RUN_DASHES)
"""So many runs have a look of their own; beyond them only the number tells."""

Look = dict[str, str]
"""Attributes of a line or an area."""


def run_colour(run: int) -> str:
    """Colour of a run, counted from 0."""
    return RUN_COLOURS[run % len(RUN_COLOURS)]


def run_dashes(run: int, scale: Scale) -> Look:
    """Dashes of a run's lines, so that runs of one colour differ."""
    ems = RUN_DASHES[run // len(RUN_COLOURS) % len(RUN_DASHES)]
    return _dashes(scale, *ems) if ems else {}


def tint(colour: str, share: float, ground: str = FABRIC) -> str:
    """A colour thinned with the ground's.

    >>> tint("#000000", 0.25, "#ffffff")
    '#bfbfbf'
    """
    pairs = zip(_channels(colour), _channels(ground), strict=True)
    return "#" + "".join(f"{round(share * a + (1 - share) * b):02x}" for a, b in pairs)


def _channels(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5))


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Sizes that follow the panel's, so that a small picture of a large panel can be read.

    The panel itself is always drawn full size.

    Attributes:
        em: height of ordinary words, mm.
        stroke: width of a quilting line, mm.
        arrow: length of an arrow, mm.
    """

    em: float
    stroke: float
    arrow: float


LEAST_EM = 2.7
"""About 8 points: smaller words are hard to read at a sewing table."""


def make_scale(plan: Plan) -> Scale:
    """Sizes for a plan's picture."""
    x0, y0, x1, y1 = drawn_bounds(plan.panel)
    em = max(LEAST_EM, 0.0125 * max(x1 - x0, y1 - y0))
    spacing = min(fill.spacing for fill in plan.project.fills)
    return Scale(
        em=em,
        # lines never fill more than a seventh of the ground between them
        stroke=min(0.1 * em, spacing / 7),
        arrow=max(0.75 * em, min(1.05 * em, 0.75 * spacing)),
    )


def drawn_bounds(panel: Panel) -> tuple[float, float, float, float]:
    """Least x and y, greatest x and y of the panel with what is trimmed off."""
    reach = panel.overhang
    x0, y0, x1, y1 = shapely.bounds(panel.outline).tolist()
    return (x0 - reach, y0 - reach, x1 + reach, y1 + reach)


def outline_look(scale: Scale) -> Look:
    """The cut edge."""
    return {"fill": "none", "stroke": INK, "stroke_width": num(0.13 * scale.em)}


def seam_look(scale: Scale) -> Look:
    """Even dashes."""
    return thin(scale, SOFT_INK, 0.06) | _dashes(scale, 0.5, 0.32)


def fold_look(scale: Scale) -> Look:
    """Dash and dot, as folds are drawn on patterns."""
    return thin(scale, INK, 0.09) | _dashes(scale, 1.3, 0.3, 0.12, 0.3)


def closed_fold_look(scale: Scale) -> Look:
    """A fold that something may not cross: as a fold, twice as wide."""
    return fold_look(scale) | {"stroke_width": num(0.22 * scale.em)}


def gap_look(scale: Scale) -> Look:
    """The strip along a fold that has no foam."""
    return thin(scale, SOFT_INK) | {"fill": GAP}


def later_look(scale: Scale) -> Look:
    """Short dashes for what is fitted later."""
    return thin(scale, INK, 0.075) | _dashes(scale, 0.36, 0.2)


def on_top_look(scale: Scale) -> Look:
    """The edge of a part that lies over another in the closed bag."""
    return outline_look(scale) | {"stroke_width": num(0.25 * scale.em)}


def lining_look(scale: Scale) -> Look:
    """The inside of the bag, where it is seen."""
    return outline_look(scale) | {"fill": ZONE}


def hidden_look(scale: Scale) -> Look:
    """Fine dashes for what lies beneath in the closed bag."""
    return thin(scale, INK, 0.085) | _dashes(scale, 0.22, 0.22)


def travel_dashes(scale: Scale) -> Look:
    """Dashes about as long as the gaps."""
    return _dashes(scale, 0.28, 0.22)


def basting_dashes(scale: Scale) -> Look:
    """Long, loose dashes."""
    return _dashes(scale, 0.9, 0.5)


def thin(scale: Scale, colour: str = FAINT_INK, ems: float = 0.05) -> Look:
    """A thin line that fills nothing."""
    return {"fill": "none", "stroke": colour, "stroke_width": num(ems * scale.em)}


def _dashes(scale: Scale, *ems: float) -> Look:
    return {"stroke_dasharray": " ".join(num(dash * scale.em) for dash in ems)}

"""What the picture says, in the maker's units."""

from __future__ import annotations

from loftline.project import Project
from loftline.units import MM_PER_INCH, SAME_PLACE_MM, Unit, format_length
from loftline.values import KeepOut, Panel, Piece, Plan, Report

MINUS = "\u2212"
TIMES = "\u00d7"
YARD = 36 * MM_PER_INCH

SITS = {"inside": "under the outer fabric", "above": "stands above", "below": "on the bed side"}
SITS_TURNED = {
    "inside": "under the outer fabric",
    "above": "outer side, on the bed",
    "below": "back, stands above",
}
"""The same where the outer fabric lies down while the panel is quilted."""

OUTER_DOWN = "outer fabric down"


def side_words(panel: Panel) -> str:
    """Which side of the panel a drawing shows; nothing where that is the usual one.

    Drawings of a panel that is sewn from the back show it as it lies under the needle.
    """
    return OUTER_DOWN if panel.seen_from == "back" else ""


def subtitle(plan: Plan) -> str:
    """Size of the panel and what is quilted on it."""
    x0, y0, x1, y1 = plan.panel.outline.bounds
    units = plan.project.units
    size = f"{format_length(x1 - x0, units)} wide, {format_length(y1 - y0, units)} high"
    side = side_words(plan.panel)
    shown = [f"{side}, as it lies under the needle"] if side else []
    return "; ".join([size, *shown, *dict.fromkeys(_fills(plan.project, over=bool(side)))])


def _fills(project: Project, *, over: bool) -> list[str]:
    """What each design is; ``over``: its angles as they are seen from the other side."""
    out = []
    for fill in project.fills:
        apart = fine_length(fill.spacing, project.units)
        what = fill.pattern if fill.wave_height is None else f"wavy {fill.pattern}"
        lines = "lines" if fill.paired is None else "pairs of lines"
        about = "about " if fill.uneven or fill.even_ends else ""
        words = f"{what}, {lines} {about}{apart} apart"
        if fill.motif is not None:
            high = fine_length(fill.motif.height, project.units)
            words = f"motif {fill.motif.name}, {high} high"
        if fill.angles:
            whole = 180 if fill.motif is None else 360
            angles = [-angle % whole if over else angle for angle in fill.angles]
            words += " at " + _listed([f"{angle:g}°" for angle in angles])
        out.append(words if fill.part == "all" else f"{fill.part}: {words}")
    return out


def _listed(items: list[str]) -> str:
    """a, b and c."""
    return " and ".join(part for part in (", ".join(items[:-1]), items[-1]) if part)


def totals(report: Report, units: Unit) -> str:
    """What one bag takes, in one line."""
    sewn = sum(report.length.values())
    return " · ".join(
        [
            counted(report.runs, "run"),
            counted(report.cuts, "thread cut") if report.cuts else "no thread cut",
            f"{sewn_length(sewn, units)} sewn",
            counted(report.stitches, "stitch", "stitches"),
            f"about {sewing_time(report.minutes)}",
            f"needle thread {sewn_length(report.needle_thread.expected, units)}",
            f"bobbin thread {sewn_length(report.bobbin_thread.expected, units)}",
        ]
    )


def counted(count: int, one: str, many: str = "") -> str:
    """A number with its noun.

    >>> counted(1, "run"), counted(0, "run"), counted(1200, "stitch", "stitches")
    ('1 run', '0 runs', '1,200 stitches')
    """
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def sewing_time(minutes: float) -> str:
    """Time at the machine.

    >>> sewing_time(0.2), sewing_time(59.7), sewing_time(538)
    ('1 min', '1 h', '8 h 58 min')
    """
    hours, rest = divmod(max(1, round(minutes)), 60)
    parts = [f"{hours:,} h"] * (hours > 0) + [f"{rest} min"] * (rest > 0)
    return " ".join(parts)


def fine_length(mm: float, units: Unit) -> str:
    """A length that the maker chose, told as finely as she writes it.

    >>> fine_length(6.35, "mm"), fine_length(15.875, "in")
    ('6.35 mm', '0.625 in')
    """
    return format_length(mm, units, 2 if units == "mm" else 3)


def sewn_length(mm: float, units: Unit) -> str:
    """Metres, or yards where the project is in inches; short ones in mm or inches.

    >>> sewn_length(14_732.0, "mm"), sewn_length(14_732.0, "in"), sewn_length(382.0, "cm")
    ('14.7 m', '16.1 yd', '382 mm')
    """
    if units == "in":
        return f"{mm / YARD:,.1f} yd" if mm >= YARD else f"{mm / MM_PER_INCH:,.1f} in"
    return f"{mm / 1000:,.1f} m" if mm >= 1000 else f"{mm:,.0f} mm"


def distance(mm: float, units: Unit) -> str:
    """A distance from an edge, to the millimetre or a tenth of an inch, without the unit.

    >>> distance(12.34, "mm"), distance(-6.0, "mm") == MINUS + "6", distance(38.1, "in")
    ('12', True, '1.5')
    """
    per_unit, places = {"in": (MM_PER_INCH, 1), "cm": (10.0, 1)}.get(units, (1.0, 0))
    text = f"{mm / per_unit:.{places}f}"
    return text if float(text) >= 0 and text[0] != "-" else MINUS * (float(text) < 0) + text[1:]


def size_of(thing: KeepOut | Piece, units: Unit) -> str:
    """Diameter, or width and height, of a hard edge."""
    x0, y0, x1, y1 = thing.outline.bounds
    wide, high = x1 - x0, y1 - y0
    # the polygon of a circle is drawn round it and covers pi / 4 of its box
    round_one = abs(wide - high) < 0.02 * wide and thing.outline.area < 0.8 * wide * high
    places = 3 if units == "in" else None
    if round_one:
        return format_length(wide, units, places)
    width, height = (format_length(side, units, places) for side in (wide, high))
    return f"{width.split()[0]} {TIMES} {height}"


def keep_out_words(zone: KeepOut, units: Unit) -> str:
    """Size of a keep-out, how far the needle stays away, where hardware sits."""
    words = f"{size_of(zone, units)}, needle {fine_length(zone.clearance, units)} away"
    kept = zone.clearance + zone.tolerance + zone.draw_in
    if zone.tolerance:
        words += f" + {fine_length(zone.tolerance, units)} for placing"
    if zone.draw_in:
        words += f" + {fine_length(zone.draw_in, units)} for shrinking"
    if zone.reach > kept + SAME_PLACE_MM:
        least = "" if zone.zone is None else "at least "
        words += f", {least}{fine_length(zone.reach, units)} for the foot"
    return f"{words}, {_sits(zone)}" if zone.hardware else words


def _sits(thing: KeepOut | Piece) -> str:
    return (SITS_TURNED if thing.outer_down else SITS)[thing.sits]


def edge_words(from_cut: float, from_finished: float, units: Unit, *, least: bool) -> str:
    """How far the centre of a piece, or of several at least, lies from both edges, in mm."""
    cut, finished = (
        format_length(far, units, 3 if units == "in" else None).replace("-", MINUS)
        for far in (from_cut, from_finished)
    )
    at_least = "at least " if least else ""
    return f"centre {at_least}{cut} from cut, {finished} from finished edge"


def piece_words(piece: Piece, units: Unit) -> str:
    """Size of a piece, when it is fitted and where it sits."""
    return f"{size_of(piece, units)}, fitted {piece.fitted}, {_sits(piece)}"

"""The report's figures as a maker reads them, in the units of her project file."""

from __future__ import annotations

from loftline.units import MM_PER_INCH
from loftline.values import Band, DrawIn, Report

YARD = 36 * MM_PER_INCH

LENGTH_WORDS = {
    "line": "Quilting lines",
    "travel": "Travel along ways",
    "double": "Sewn over again",
    "tie": "Tie-ins and tie-offs",
    "registration": "Registration crosses",
    "basting": "Basting",
}
SUPPLIES = (("thread_price", "Price of the thread", 2),)


def length_words(mm: float, units: str) -> str:
    """A sewn length: metres, or yards where the project is in inches.

    >>> length_words(14_732.0, "mm"), length_words(14_732.0, "in"), length_words(382.0, "cm")
    ('14.7 m', '16.1 yd', '38.2 cm')
    """
    if units in ("in", "yd"):
        return f"{mm / YARD:,.1f} yd" if mm >= YARD else f"{mm / MM_PER_INCH:,.1f} in"
    if mm >= 1000:
        return f"{mm / 1000:,.1f} m"
    return f"{mm / 10:,.1f} cm" if units == "cm" else f"{mm:,.0f} mm"


def exact_words(mm: float, units: str) -> str:
    """A small length, to the hundredth of a millimetre.

    >>> exact_words(0.04, "mm"), exact_words(0.5, "in")
    ('0.04 mm', '0.02 in')
    """
    return f"{mm / MM_PER_INCH:.2f} in" if units in ("in", "yd") else f"{mm:.2f} mm"


def band_words(band: Band, units: str) -> str:
    """A figure with its uncertainty.

    >>> band_words(Band(low=30_000, expected=36_000, high=44_000), "mm")
    '36.0 m (30.0 m to 44.0 m)'
    """
    low, expected, high = (length_words(mm, units) for mm in (band.low, band.expected, band.high))
    return expected if low == high else f"{expected} ({low} to {high})"


def minutes_words(minutes: float) -> str:
    """Time at the machine.

    >>> minutes_words(7.4), minutes_words(95.0), minutes_words(0.4)
    ('7 min', '1 h 35 min', 'under 1 min')
    """
    whole = round(minutes)
    if whole < 1:
        return "under 1 min"
    return f"{whole // 60} h {whole % 60} min" if whole >= 60 else f"{whole} min"


def report_rows(report: Report, units: str) -> list[tuple[str, str]]:
    """Names and values of the report's table, all for one bag unless the name says more."""
    rows = hooping_rows(report)
    rows += [
        ("Stitches", f"{report.stitches:,}"),
        ("Runs (sewn without cutting the thread)", f"{report.runs:,}"),
        ("Thread cuts", f"{report.cuts:,}"),
        ("Turns of the panel", f"{report.turns:,}"),
    ]
    rows += [
        (LENGTH_WORDS.get(kind, kind), length_words(mm, units))
        for kind, mm in report.length.items()
        if mm > 0 or kind == "line"
    ]
    rows += [
        ("Needle thread", band_words(report.needle_thread, units)),
        ("Bobbin thread", band_words(report.bobbin_thread, units)),
    ]
    rows += [
        (name, f"{report.extra[key]:,.{places}f}")
        for key, name, places in SUPPLIES
        if key in report.extra
    ]
    gap = report.extra.get("widest_gap")
    if gap is not None:
        rows.append(("Widest place without a line", length_words(gap, units)))
    most = report.extra.get("most_stitches_per_cm2")
    if most is not None:
        rows.append(("Needle points where they are closest", f"{most:.0f} in a cm²"))
    miss = report.extra.get("lines_miss")
    if miss is not None:
        rows.append(("Lines meet on the closed bag to within", exact_words(miss, units)))
    if report.draw_in is not None:
        rows.append(("Shrinks by quilting", _draw_in_words(report.draw_in)))
    return [*rows, ("Time to quilt", minutes_words(report.minutes))]


def hooping_rows(report: Report) -> list[tuple[str, str]]:
    """How often the panel is laid into the hoop, a bag and the batch; none without a hoop."""
    hoopings = int(report.extra.get("hoopings", 0))
    if hoopings == 0:
        return []
    least = int(report.extra.get("least_hoopings", hoopings))
    proved = "none can do with fewer" if least == hoopings else f"at least {least}, proved"
    rows = [("Hoopings", f"{hoopings:,} ({proved})" if hoopings > 1 else "1")]
    if report.copies > 1 and hoopings > 1:
        rows.append((f"Hoopings, {report.copies:,} bags", f"{hoopings * report.copies:,}"))
    return rows


def _draw_in_words(found: DrawIn) -> str:
    """Percent both ways, and where they are from.

    >>> band = Band(low=0.0, expected=2.9, high=3.6)
    >>> _draw_in_words(DrawIn(along=band, across=band, source="spacing"))
    '2.9 % (0 to 3.6 %), by the distance between lines'
    """
    source = {
        "swatch": "by your swatch",
        "told": "as you wrote",
        "spacing": "by the distance between lines",
    }[found.source]
    if found.along == found.across:
        words = f"{_percent(found.along)}, {source}"
    else:
        words = f"{_percent(found.along)} in width, {_percent(found.across)} in height, {source}"
    return words if not found.allowed else f"{words}; drawn {found.allowed:.2g} % larger for it"


def _percent(band: Band) -> str:
    if band.low == band.high:
        return f"{band.expected:.2g} %"
    return f"{band.expected:.2g} % ({band.low:.2g} to {band.high:.2g} %)"

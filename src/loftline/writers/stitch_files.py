"""Stitch files, most by pyembroidery with the settings that keep every needle point in place.

The library is given whole tenths of a millimetre, y down, and a jump to the exact place of
each run's first needle point. It writes into memory; what it gets wrong is kept out by the
limits checked first, or put right afterwards (:mod:`~loftline.writers.dst_header`,
:mod:`~loftline.writers.jef_header`, :mod:`~loftline.writers.u01_header`).
"""

from __future__ import annotations

import io
import unicodedata
from typing import Any

import numpy as np
import pyembroidery

from loftline.errors import FormatLimit
from loftline.values import Ints, Sewn
from loftline.writers import dst_header, jef_header, u01_header
from loftline.writers.gcode import write_gcode
from loftline.writers.stitch_formats import FORMATS, Format
from loftline.writers.stitch_limits import limit, reach, run_starts

__all__ = ["FORMATS", "ascii_name", "limit", "write_stitch_file"]

COLOUR = 0x24495E
"""Any fixed colour: without one the library rolls dice, and no bytes come out twice."""

PES_SEGMENT = 65_535
"""Needle points that one segment of the pes drawing can count (16 bits, unchecked)."""


def write_stitch_file(
    ext: str,
    sewn: Sewn,
    *,
    name: str,
    at_cuts: str,
    number: int | None = None,
    thread_tex: float | None = None,
    stitches_per_minute: float = 600.0,
    outer_up: bool = True,
) -> bytes:
    """A stitch file that holds every needle point of ``sewn``, in order, and nothing else.

    Args:
        ext: file ending in lower case without its dot, a key of :data:`FORMATS`.
        sewn: needle points; ``sewn.origin`` becomes the file's zero.
        name: put into the header where the format has a place for it, as far as it fits.
        number: of the hooping, put behind the name, so that a machine's screen tells files
            apart; ``None`` where there is only one.
        at_cuts: ``"trim"``: the machine cuts and goes on; ``"stop"``: it waits, as for a
            change of thread, and the maker cuts.
        thread_tex: size of the needle thread, named in formats that have a place for it.
        stitches_per_minute: from which gcode gets its feed.
        outer_up: whether the outer fabric lies up, as gcode says.

    Returns:
        The bytes; the same for the same arguments.

    Raises:
        FormatLimit: when the format cannot hold the plan.
        ExportError: when there is nothing to sew or the ending is unknown.
    """
    stop = at_cuts == "stop"
    reason = limit(ext, sewn, at_cuts=at_cuts)
    if reason is not None:
        raise FormatLimit(ext, reason)
    form = FORMATS[ext]
    safe = ascii_name(name, form.name_length, "" if number is None else str(number))
    if form.write is None:
        return write_gcode(
            sewn,
            name=safe,
            stop=stop,
            stitches_per_minute=stitches_per_minute,
            outer_up=outer_up,
        )
    pattern = _pattern(form, sewn, stop=stop)
    pattern.metadata("name", safe)
    size = "" if thread_tex is None else f"{thread_tex:g} tex"
    thread = pyembroidery.EmbThread(COLOUR, description=size)
    for _ in range(run_starts(sewn).size if stop else 1):
        pattern.add_thread(thread)
    settings = dict(form.settings)
    if ext == "pes" and _drawing_overflows(sewn):
        settings["version"] = "1t"  # without the drawing; machines sew from what follows it
    stream = io.BytesIO()
    form.write(pattern, stream, settings)
    data = stream.getvalue()
    if ext == "dst":
        return dst_header.put_right(data, safe)
    if ext == "jef":
        return jef_header.put_right(data, reach(sewn))
    if ext == "u01":
        return u01_header.put_right(data)
    return data


def ascii_name(name: str, length: int, ending: str = "") -> str:
    """A name in printable ASCII, accents taken off, at most ``length`` characters.

    An ending is set behind it, and never cut off.

    Headers are laid out in bytes: one letter outside ASCII shifts all that follows.

    >>> ascii_name("Täschchen für Øle", 16)
    'Taschchen fur le'
    >>> ascii_name("袋", 8)
    'quilting'
    >>> ascii_name("Spoke pouch", 8, "12")
    'Spoke 12'
    """
    plain = unicodedata.normalize("NFKD", name.replace("ß", "ss"))
    kept = "".join(c for c in plain if c.isascii() and c.isprintable())
    room = length - len(ending) - (1 if ending else 0)
    short = " ".join(kept.split())[:room].rstrip() or "quilting"[:room]
    return f"{short} {ending}".rstrip()


def _drawing_overflows(sewn: Sewn) -> bool:
    """Whether a segment, or the number of segments, passes what 16 bits can count."""
    starts = run_starts(sewn)
    longest = np.diff(starts, append=len(sewn)).max()
    return bool(longest > PES_SEGMENT or 2 * starts.size > PES_SEGMENT)


def _pattern(form: Format, sewn: Sewn, *, stop: bool) -> Any:  # noqa: ANN401 - untyped library
    """The commands for the library, y down."""
    x, y = sewn.x - sewn.origin[0], sewn.origin[1] - sewn.y
    via = (sewn.via - np.array(sewn.origin)) * np.array([1, -1])
    starts = run_starts(sewn)
    ends = np.append(starts[1:], len(sewn))
    leads = np.searchsorted(sewn.via_run, sewn.run[starts])
    arrives = np.searchsorted(sewn.via_run, sewn.run[starts], side="right")
    commands: list[list[int]] = []
    if not form.jumps:
        commands.append(_even_extents(x, y))
    bounds = np.column_stack((starts, ends, leads, arrives)).tolist()
    for start, end, lead, arrive in bounds:
        places = via[lead:arrive]
        first = (int(x[start]), int(y[start]))
        if start:
            here = [int(x[start - 1]), int(y[start - 1])]
            if stop:
                commands.append([*here, form.waits])
            elif form.trims:
                commands.append([*here, pyembroidery.TRIM])
        commands.extend([*place, pyembroidery.JUMP] for place in places.tolist())
        if start or len(places) or form.leading_jump or first != (0, 0):
            commands.append([*first, pyembroidery.JUMP])
        stitch = np.full(end - start, pyembroidery.STITCH)
        commands.extend(np.column_stack((x[start:end], y[start:end], stitch)).tolist())
    commands.append([int(x[-1]), int(y[-1]), pyembroidery.END])
    pattern = pyembroidery.EmbPattern()
    pattern.stitches = commands
    return pattern


def _even_extents(x: Ints, y: Ints) -> list[int]:
    """A jump, not kept in the file, that makes width and height even.

    The vp3 writer halves the extents and drops the rest: an odd size would shift all by
    half a tenth.
    """
    width, height = int(np.ptp(x)), int(np.ptp(y))
    return [int(x.max()) + width % 2, int(y.max()) + height % 2, pyembroidery.JUMP]

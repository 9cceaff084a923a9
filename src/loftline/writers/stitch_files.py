"""Stitch files, by pyembroidery with the settings that keep every needle point in place.

The library is given whole tenths of a millimetre, y down, and a jump to the exact place of
each run's first needle point. It writes into memory; what it gets wrong is kept out by the
limits checked first, or put right afterwards (:mod:`~loftline.writers.dst_header`,
:mod:`~loftline.writers.jef_header`). The settings and rules were found by decoding the
bytes of some hundred patterns.
"""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

import numpy as np
import pyembroidery

from loftline.errors import ExportError, FormatLimit
from loftline.values import Ints, Sewn
from loftline.writers import dst_header, jef_header

COLOUR = 0x24495E
"""Any fixed colour: without one the library rolls dice, and no bytes come out twice."""

PALETTE_LIMIT = 255
"""Colour blocks that pes and vp3 can count."""

PES_SEGMENT = 65_535
"""Needle points that one segment of the pes drawing can count (16 bits, unchecked)."""

PES_LIST = 0xFFFFFF
"""Bytes that the length of the pes stitch list can count; half is left to long moves."""

INT16 = 32_767


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """What one format can hold and how the library is told to write it.

    Attributes:
        write: the library's writer.
        settings: given to it.
        greatest_step: tenths of a millimetre that one stitch may move on each axis.
        name_length: characters of the name that the format keeps.
        trims: whether cuts are written as such; exp has no agreed mark for them.
        jumps: whether moves between runs can pass places of our choosing.
        leading_jump: whether the first command must be a jump even if it goes nowhere.
    """

    write: Callable[..., None]
    settings: Mapping[str, Any] = field(default_factory=dict)
    greatest_step: int
    name_length: int = 16
    trims: bool = True
    jumps: bool = True
    leading_jump: bool = False


_EXACT = {"full_jump": True, "round": True, "writes_speeds": False}
FORMATS: Mapping[str, Format] = MappingProxyType(
    {
        "dst": Format(
            write=pyembroidery.write_dst,
            settings={
                **_EXACT,
                "max_stitch": 121,
                "max_jump": 121,
                "trim_at": 3,
                "tie_on": False,
                "tie_off": False,
                "explicit_trim": False,
                "long_stitch_contingency": pyembroidery.CONTINGENCY_LONG_STITCH_JUMP_NEEDLE,
            },
            greatest_step=121,
        ),
        "exp": Format(
            write=pyembroidery.write_exp,
            settings={
                **_EXACT,
                "max_stitch": 127,
                "max_jump": 127,
                "tie_on": False,
                "tie_off": False,
            },
            greatest_step=127,
            trims=False,
        ),
        "jef": Format(
            write=pyembroidery.write_jef,
            settings={
                **_EXACT,
                "max_stitch": 127,
                "max_jump": 127,
                "trims": True,
                "date": "20000101000000",
            },
            greatest_step=127,
        ),
        "pes": Format(
            write=pyembroidery.write_pes,
            settings={**_EXACT, "version": "1", "max_stitch": 2047, "max_jump": 2047},
            greatest_step=2047,
            name_length=8,
            leading_jump=True,
        ),
        "vp3": Format(
            write=pyembroidery.write_vp3,
            # Jumps are not in the file; cutting them up would only blur the extents.
            settings={"round": True, "writes_speeds": False, "max_jump": 4 * INT16},
            greatest_step=255,
            jumps=False,
            leading_jump=True,
        ),
    }
)
"""What can be written, by file ending."""


def write_stitch_file(
    ext: str, sewn: Sewn, *, name: str, at_cuts: str, thread_tex: float | None = None
) -> bytes:
    """A stitch file that holds every needle point of ``sewn``, in order, and nothing else.

    Args:
        ext: file ending in lower case without its dot, a key of :data:`FORMATS`.
        sewn: needle points; ``sewn.origin`` becomes the file's zero.
        name: put into the header where the format has a place for it, as far as it fits.
        at_cuts: ``"trim"``: the machine cuts and goes on; ``"stop"``: it waits, as for a
            change of thread, and the maker cuts.
        thread_tex: size of the needle thread, named in formats that have a place for it.

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
    safe = ascii_name(name, form.name_length)
    pattern = _pattern(form, sewn, stop=stop)
    pattern.metadata("name", safe)
    size = "" if thread_tex is None else f"{thread_tex:g} tex"
    thread = pyembroidery.EmbThread(COLOUR, description=size)
    for _ in range(_run_starts(sewn).size if stop else 1):
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
        return jef_header.put_right(data, _reach(sewn))
    return data


def limit(ext: str, sewn: Sewn, *, at_cuts: str) -> str | None:
    """Why a format cannot hold the plan, as the rest of a sentence; ``None`` if it can.

    Raises:
        ExportError: when there is nothing to sew or the ending is unknown.
    """
    form = FORMATS.get(ext)
    if form is None:
        raise ExportError(f'".{ext}" is no stitch format; there are {", ".join(sorted(FORMATS))}')
    if len(sewn) == 0:
        raise ExportError(f"the {ext} file would be empty: there is nothing to sew")
    within = np.diff(sewn.run) == 0
    step = np.maximum(np.abs(np.diff(sewn.x)), np.abs(np.diff(sewn.y)))[within]
    if step.size and step.max() > form.greatest_step:
        return (
            f"its stitches are at most {form.greatest_step / 10:g} mm long on each axis, "
            f"one here is {step.max() / 10:g} mm"
        )
    return (
        _limit_of_size(ext, sewn)
        or _limit_of_stops(ext, _run_starts(sewn).size if at_cuts == "stop" else 1)
        or _limit_of_moves(form, sewn)
    )


def ascii_name(name: str, length: int) -> str:
    """A name in printable ASCII, accents taken off, at most ``length`` characters.

    Headers are laid out in bytes: one letter outside ASCII shifts all that follows.

    >>> ascii_name("Täschchen für Øle", 16)
    'Taschchen fur le'
    >>> ascii_name("袋", 8)
    'quilting'
    """
    plain = unicodedata.normalize("NFKD", name.replace("ß", "ss"))
    kept = "".join(c for c in plain if c.isascii() and c.isprintable())
    return " ".join(kept.split())[:length].rstrip() or "quilting"[:length]


def _limit_of_size(ext: str, sewn: Sewn) -> str | None:
    reach = _reach(sewn)
    if ext == "jef" and max(reach) >= jef_header.GREATEST_REACH:
        return (
            "its largest hoop is 200 by 200 mm, and the stitching goes "
            f"{max(reach) / 10:g} mm from the hoop's centre"
        )
    if ext == "dst" and max(reach) + 2 > dst_header.GREATEST_EXTENT:
        return f"its header measures 9999.9 mm at most, here it is {max(reach) / 10:g} mm"
    if ext in {"pes", "vp3"}:
        size = max(reach[0] + reach[2], reach[1] + reach[3])
        if size > INT16:
            return f"it measures 3276.7 mm at most, here it is {size / 10:g} mm"
    if ext == "pes" and 4 * (len(sewn) + len(sewn.via)) > PES_LIST // 2:
        return f"its stitch list is too short for {len(sewn):,} needle points"
    return None


def _limit_of_stops(ext: str, blocks: int) -> str | None:
    greatest = {"pes": PALETTE_LIMIT, "vp3": PALETTE_LIMIT, "dst": dst_header.GREATEST_CHANGES + 1}
    if blocks > greatest.get(ext, blocks):
        return f"it counts {greatest[ext]} runs at most when the machine stops at cuts"
    return None


def _limit_of_moves(form: Format, sewn: Sewn) -> str | None:
    if not form.jumps and len(sewn.via):
        return (
            "between runs it always moves straight, and one of the moves here must go round "
            "what sits above"
        )
    return None


def _reach(sewn: Sewn) -> tuple[int, int, int, int]:
    """How far the stitching goes from the file's zero: left, top, right, bottom."""
    x = np.concatenate((sewn.x, sewn.via[:, 0])) - sewn.origin[0]
    y = np.concatenate((sewn.y, sewn.via[:, 1])) - sewn.origin[1]
    reach = (-x.min(), y.max(), x.max(), -y.min())
    left, top, right, bottom = (max(0, int(value)) for value in reach)
    return left, top, right, bottom


def _drawing_overflows(sewn: Sewn) -> bool:
    """Whether a segment, or the number of segments, passes what 16 bits can count."""
    starts = _run_starts(sewn)
    longest = np.diff(starts, append=len(sewn)).max()
    return bool(longest > PES_SEGMENT or 2 * starts.size > PES_SEGMENT)


def _run_starts(sewn: Sewn) -> Ints:
    """Index of the first needle point of each run."""
    return np.flatnonzero(np.diff(sewn.run, prepend=sewn.run[0] - 1))


def _pattern(form: Format, sewn: Sewn, *, stop: bool) -> Any:  # noqa: ANN401 - untyped library
    """The commands for the library, y down."""
    x, y = sewn.x - sewn.origin[0], sewn.origin[1] - sewn.y
    via = (sewn.via - np.array(sewn.origin)) * np.array([1, -1])
    starts = _run_starts(sewn)
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
                commands.append([*here, pyembroidery.COLOR_CHANGE])
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

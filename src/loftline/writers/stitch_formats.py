"""What each stitch format can hold, and how the library is told to write it.

The settings and limits were found by decoding the bytes of some hundred patterns.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

import pyembroidery

from loftline.writers import dst_header

PALETTE_LIMIT = 255
"""Colour blocks that pes and vp3 can count."""

XXX_PALETTE = 21
"""Places in the table of colours behind the stitches of an xxx file."""

INT16 = 32_767


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """What one format can hold and how the library is told to write it.

    Attributes:
        write: the library's writer; ``None`` for what is written without the library.
        settings: given to it.
        greatest_step: tenths of a millimetre that one stitch may move on each axis.
        name_length: characters of the name that the format keeps.
        trims: whether cuts are written as such; exp has no agreed mark for them.
        jumps: whether moves between runs can pass places of our choosing.
        leading_jump: whether the first command must be a jump even if it goes nowhere.
        waits: the library's command for a machine that waits while the maker cuts.
        most_blocks: how many runs can be told apart by such waits.
        farthest: tenths of a millimetre that the stitching may measure on each axis.
    """

    write: Callable[..., None] | None
    settings: Mapping[str, Any] = field(default_factory=dict)
    greatest_step: int
    name_length: int = 16
    trims: bool = True
    jumps: bool = True
    leading_jump: bool = False
    waits: int = pyembroidery.COLOR_CHANGE
    most_blocks: int | None = None
    farthest: int | None = None


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
            most_blocks=dst_header.GREATEST_CHANGES + 1,
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
            most_blocks=PALETTE_LIMIT,
            farthest=INT16,
        ),
        "vp3": Format(
            write=pyembroidery.write_vp3,
            # Jumps are not in the file; cutting them up would only blur the extents.
            settings={"round": True, "writes_speeds": False, "max_jump": 4 * INT16},
            greatest_step=255,
            jumps=False,
            leading_jump=True,
            most_blocks=PALETTE_LIMIT,
            farthest=INT16,
        ),
        "u01": Format(
            write=pyembroidery.write_u01,
            settings={**_EXACT, "max_stitch": 127, "max_jump": 127},
            greatest_step=127,
            waits=pyembroidery.STOP,  # a change would send some machines to another needle
            farthest=INT16,
        ),
        "xxx": Format(
            write=pyembroidery.write_xxx,
            # Longer ones are written in a way that readers take for jumps.
            settings={**_EXACT, "max_stitch": 123, "max_jump": 123},
            greatest_step=123,
            most_blocks=XXX_PALETTE,
            farthest=INT16,
        ),
        "gcode": Format(write=None, greatest_step=1_000_000, name_length=40),
    }
)
"""What can be written, by file ending."""

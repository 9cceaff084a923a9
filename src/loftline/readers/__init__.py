"""Readers of stitch files, the second opinion on every file that is written.

Each is written from a public description of its format and shares no code with the
writers. All of them answer with the same value as the stitches stage: needle points in
tenths of a millimetre, y up, origin (0, 0) where the file has its zero, ``run`` counted at
the cuts, ``via`` the places the frame stops at between two runs, ``kind`` all ``LINE``.

How a file shows a cut differs: see the module of each format.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from loftline.errors import StitchFileError
from loftline.readers.csv_points import read_points
from loftline.readers.dst import read_dst
from loftline.readers.exp import read_exp
from loftline.readers.gcode import GREATEST_PROGRAM, read_gcode
from loftline.readers.jef import read_jef
from loftline.readers.pec import read_pes
from loftline.readers.records import GREATEST_FILE
from loftline.readers.u01 import read_u01
from loftline.readers.vp3 import read_vp3
from loftline.readers.xxx import read_xxx
from loftline.values import Sewn

__all__ = [
    "GREATEST_BYTES",
    "READERS",
    "read_dst",
    "read_exp",
    "read_gcode",
    "read_jef",
    "read_pes",
    "read_points",
    "read_stitch_file",
    "read_u01",
    "read_vp3",
    "read_xxx",
]

READERS: Mapping[str, Callable[[bytes], Sewn]] = MappingProxyType(
    {
        "dst": read_dst,
        "exp": read_exp,
        "jef": read_jef,
        "pes": read_pes,
        "vp3": read_vp3,
        "u01": read_u01,
        "xxx": read_xxx,
        "gcode": read_gcode,
    }
)
"""The reader of each file ending."""

GREATEST_BYTES = max(GREATEST_FILE, GREATEST_PROGRAM)
"""No reader takes a longer file."""


def read_stitch_file(ext: str, data: bytes) -> Sewn:
    """Read a stitch file by its ending.

    Args:
        ext: file ending in lower case without its dot, a key of :data:`READERS`.
        data: the whole file.

    Returns:
        Needle points in file coordinates: tenths of a millimetre, y up.

    Raises:
        StitchFileError: when the ending is unknown or the bytes are not such a file.
    """
    reader = READERS.get(ext)
    if reader is None:
        raise StitchFileError(f'no reader for ".{ext}", only for {", ".join(sorted(READERS))}')
    return reader(data)

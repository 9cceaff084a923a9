"""Reader of u01 files.

Written from a public description, "Embroidery format U??" of the EduTech wiki.

A header of 256 bytes: 128 times the sign "0", the extents, and at 140 how many records follow
(32 bits, little end first). A record is three bytes: command, how far along y, how far along
x, tenths of a millimetre. Of the command byte the top bit is always set, the next two say
that y, then x, goes down; the rest is 0, 2 or 4 for a stitch (usual, fast, slow speed), 1, 3
or 5 for a jump, 7 for a cut, 8 for a wait, 9 to 23 for a change of needle, 24 for the end.

A cut is any of 7 to 23, or a jump.
"""

from __future__ import annotations

import struct

import numpy as np

from loftline.errors import StitchFileError
from loftline.readers.records import Moves, as_sewn, check_size
from loftline.values import Sewn

HEADER_SIZE = 256
COUNT_AT = 0x8C
ALWAYS, Y_DOWN, X_DOWN, COMMAND = 0x80, 0x40, 0x20, 0x1F
STITCHES, JUMPS, CUT, LAST_NEEDLE, END = (0, 2, 4), (1, 3, 5), 7, 23, 24


def read_u01(data: bytes) -> Sewn:
    """Read a u01 file.

    Args:
        data: the whole file.

    Returns:
        Needle points in file coordinates: tenths of a millimetre, y up, zero at the start.

    Raises:
        StitchFileError: when the header, a record or the end is not as described.
    """
    check_size(data, "u01")
    if not data.startswith(b"0" * 16) or len(data) < HEADER_SIZE:
        raise StitchFileError('a u01 file begins with a row of the sign "0", this one does not')
    (count,) = struct.unpack_from("<I", data, COUNT_AT)
    whole = (len(data) - HEADER_SIZE) // 3
    records = np.frombuffer(data, np.uint8, 3 * whole, HEADER_SIZE).reshape(whole, 3)
    command = records[:, 0] & COMMAND
    ends = np.flatnonzero(command == END)
    if ends.size == 0:
        raise StitchFileError("the u01 file is cut short: its end record (F8) is missing")
    used = int(ends[0])
    if count not in {used + 1, used}:  # some count the end, some do not
        raise StitchFileError(f"the u01 file's header speaks of {count} records, it has {used + 1}")
    records, command = records[:used], command[:used]
    known = np.isin(command, (*STITCHES, *JUMPS)) | ((command >= CUT) & (command <= LAST_NEEDLE))
    wrong = np.flatnonzero(((records[:, 0] & ALWAYS) == 0) | ~known)
    if wrong.size:
        at = int(wrong[0])
        raise StitchFileError(
            f"record {at + 1} of the u01 file is {records[at].tobytes().hex(' ').upper()}, "
            "neither stitch, jump nor cut"
        )
    dy, dx = records[:, 1].astype(np.int16), records[:, 2].astype(np.int16)
    dy[(records[:, 0] & Y_DOWN) != 0] *= -1
    dx[(records[:, 0] & X_DOWN) != 0] *= -1
    moves = Moves(dx=dx, dy=dy, needle=np.isin(command, STITCHES), cut=command >= CUT)
    return as_sewn(moves, "u01")

"""Reader of xxx files.

Written from a public description, "Embroidery format XXX" of the EduTech wiki, which calls
itself a stub; where the records begin (256) and end (the number at 252) is from files.

A stitch is two signed bytes, dx and dy, tenths of a millimetre, y up. ``7F`` makes the next
byte a command, with a move behind it: 1 jump, 3 cut, 8 and 10 to 23 wait or change of thread,
``7F`` or 24 the end. ``7D`` and ``7E`` begin a long stitch of two numbers of 16 bits, little
end first.

A cut is a cut, a change of thread or a jump.
"""

from __future__ import annotations

from array import array

import numpy as np

from loftline.errors import StitchFileError
from loftline.readers.records import Moves, as_sewn, check_size
from loftline.values import Ints, Sewn

HEADER_SIZE = 256
COMMAND, LONG = 0x7F, (0x7D, 0x7E)
JUMP, CUT, CHANGES, ENDS = 1, 3, (8, *range(10, 24)), (0x7F, 24)
_LENGTH = bytes(4 if b == COMMAND else 5 if b in LONG else 2 for b in range(256))


def read_xxx(data: bytes) -> Sewn:
    """Read an xxx file.

    Args:
        data: the whole file.

    Returns:
        Needle points in file coordinates: tenths of a millimetre, y up, zero at the start.

    Raises:
        StitchFileError: when it is cut short or holds a command that is not described.
    """
    check_size(data, "xxx")
    if len(data) < HEADER_SIZE or data[:23].strip(b"\0"):
        raise StitchFileError("an xxx file begins with 256 bytes of header, this one does not")
    at = _records(data)
    value = np.frombuffer(data, np.uint8)
    step = value.view(np.int8)
    first, second = value[at], value[at + 1]
    called, long = first == COMMAND, np.isin(first, LONG)
    wrong = np.flatnonzero(called & ~np.isin(second, (JUMP, CUT, *CHANGES)))
    if wrong.size:
        raise StitchFileError(
            f"the xxx file has the command 7F {int(second[wrong[0]]):02X}, "
            "which no public document knows"
        )
    place = at + 2 * called
    dx, dy = step[place].astype(np.int32), step[place + 1].astype(np.int32)
    dx[long] = _sixteen(data, at[long] + 1)
    dy[long] = _sixteen(data, at[long] + 3)
    return as_sewn(
        Moves(dx=dx, dy=dy, needle=~called, cut=called & (second != JUMP)),
        "xxx",
    )


def _records(data: bytes) -> Ints:
    """Where each record begins, up to the end."""
    starts = array("q")
    at, stop = HEADER_SIZE, len(data) - 1
    while at < stop:
        first = data[at]
        if first == COMMAND and data[at + 1] in ENDS:
            return np.frombuffer(starts, np.int64)
        starts.append(at)
        at += _LENGTH[first]
    raise StitchFileError("the xxx file is cut short: its end (7F 7F) is missing")


def _sixteen(data: bytes, at: Ints) -> Ints:
    """Signed numbers of 16 bits, little end first."""
    value = np.frombuffer(data, np.uint8)
    number = value[at].astype(np.int64) | value[at + 1].astype(np.int64) << 8
    return np.where(number >= 1 << 15, number - (1 << 16), number)

"""Reader of dst files.

Written from two public descriptions: the bit table with examples at achatina.de
(sewing/main/DST.HTM) and the page on this format of the KDE community wiki (header
offsets, sync bits, end code, unit).

A 512-byte header of text is followed by records of three bytes. A record is one move in
tenths of a millimetre, y up, in balanced ternary: each of the weights 1, 3, 9, 27, 81 has
a bit that adds it and a bit that takes it away. The two top bits of the third byte tell
stitch (00), jump (10) and change of thread (11); its two lowest bits are always set.
``00 00 F3`` ends the file.

A cut is a change of thread, or three jumps or more in a row: machines take them for one.
"""

from __future__ import annotations

from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from loftline.errors import StitchFileError
from loftline.readers.records import Moves, Small, as_sewn, check_size
from loftline.values import Sewn

HEADER_SIZE = 512
JUMPS_THAT_CUT = 3

# What each bit of the three bytes adds to x and to y, highest bit first.
X_BITS = (
    (0, 0, 0, 0, -9, 9, -1, 1),
    (0, 0, 0, 0, -27, 27, -3, 3),
    (0, 0, 0, 0, -81, 81, 0, 0),
)
Y_BITS = (
    (1, -1, 9, -9, 0, 0, 0, 0),
    (3, -3, 27, -27, 0, 0, 0, 0),
    (0, 0, 81, -81, 0, 0, 0, 0),
)
SYNC, JUMP, CHANGE, END = 0x03, 0x80, 0xC0, 0xF3


def _table(bits: tuple[tuple[int, ...], ...]) -> Small:
    """What every value of every byte adds: shape ``(3, 256)``."""
    value = np.unpackbits(np.arange(256, dtype=np.uint8)[:, None], axis=1).astype(np.int64)
    return (np.array(bits, np.int64) @ value.T).astype(np.int16)


_TABLES = MappingProxyType({"x": _table(X_BITS), "y": _table(Y_BITS)})


def read_dst(data: bytes) -> Sewn:
    """Read a dst file.

    Args:
        data: the whole file.

    Returns:
        Needle points in file coordinates: tenths of a millimetre, y up, zero at the start.

    Raises:
        StitchFileError: when the header, a record or the end is not as described.
    """
    check_size(data, "dst")
    if not data.startswith(b"LA:"):
        raise StitchFileError('a dst file begins with "LA:", this one does not')
    records = _records(data)
    flags = records[:, 2] & CHANGE
    wrong = np.flatnonzero(((records[:, 2] & SYNC) != SYNC) | (flags == 0x40))
    if wrong.size:
        at = int(wrong[0])
        raise StitchFileError(
            f"record {at + 1} of the dst file is {records[at].tobytes().hex(' ').upper()}, "
            "neither stitch, jump nor change of thread"
        )
    x, y = _TABLES["x"], _TABLES["y"]
    moves = Moves(
        dx=x[0][records[:, 0]] + x[1][records[:, 1]] + x[2][records[:, 2]],
        dy=y[0][records[:, 0]] + y[1][records[:, 1]] + y[2][records[:, 2]],
        needle=flags == 0,
        cut=flags == CHANGE,
    )
    return as_sewn(moves, "dst", jumps_that_cut=JUMPS_THAT_CUT)


def _records(data: bytes) -> npt.NDArray[np.uint8]:
    """All records before the end record, shape ``(n, 3)``."""
    count = max(0, len(data) - HEADER_SIZE) // 3
    records = np.frombuffer(data, np.uint8, count * 3, HEADER_SIZE if count else 0)
    records = records.reshape(count, 3)
    ends = np.flatnonzero(records[:, 2] == END)
    if ends.size == 0:
        raise StitchFileError("the dst file is cut short: its end record (00 00 F3) is missing")
    return records[: ends[0]]

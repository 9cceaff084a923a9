"""Reader of pes files, by the pec section inside them that machines sew from.

Written from two public descriptions: the page "PEC section" of the libpes wiki and
"Embroidery format PEC" of the EduTech wiki.

``#PES``, four digits of version, then where the pec section begins (32 bits, little end
first). 512 bytes into that section stands a header of 16 bytes, with the length of the
stitch list in it (24 bits), then the list: coordinates in turn dx and dy, tenths of a
millimetre, y down. A byte under 0x80 is a coordinate of 7 bits, two's complement. Otherwise
two bytes hold flags (0x10 jump, 0x20 move after a cut) and 12 bits. ``FE B0`` and one byte
more change the thread, ``FF`` ends the list.

A cut is a change of thread, or a flagged move.
"""

from __future__ import annotations

import struct

import numpy as np

from loftline.errors import StitchFileError
from loftline.readers.records import Moves, Small, as_sewn, check_size, escape_starts
from loftline.values import Bools, Sewn

LABEL_SIZE = 512
BLOCK_HEADER_SIZE = 16
FLAGGED, NOT_A_MOVE = 0x30, 0x40
CHANGE = (0xFE, 0xB0)
END = 0xFF


def read_pes(data: bytes) -> Sewn:
    """Read a pes file.

    Args:
        data: the whole file.

    Returns:
        Needle points in file coordinates: tenths of a millimetre, y up, zero at the start.

    Raises:
        StitchFileError: when a section is missing, cut short or not as described.
    """
    check_size(data, "pes")
    dx, dy, flags, change = _coordinates(_stitch_list(data))
    if np.any((flags & NOT_A_MOVE).astype(bool) & ~change):
        raise StitchFileError("the pes file has a move with an unknown flag")
    needle = ~change & ((flags & FLAGGED) == 0)
    dx[change] = dy[change] = 0
    return as_sewn(Moves(dx=dx, dy=dy, needle=needle, cut=change), "pes")


def _stitch_list(data: bytes) -> bytes:
    """The coded coordinates, with the end mark."""
    if not data.startswith(b"#PES") or len(data) < 12:
        raise StitchFileError('a pes file begins with "#PES", this one does not')
    (section,) = struct.unpack_from("<I", data, 8)
    block = section + LABEL_SIZE
    if data[section : section + 3] != b"LA:" or len(data) < block + BLOCK_HEADER_SIZE:
        raise StitchFileError("the pes file has no stitch list where its header says")
    length = int.from_bytes(data[block + 2 : block + 5], "little")
    if length <= BLOCK_HEADER_SIZE or block + length > len(data):
        raise StitchFileError("the pes file is cut short: its stitch list is not whole")
    return data[block + BLOCK_HEADER_SIZE : block + length]


def _coordinates(body: bytes) -> tuple[Small, Small, Small, Bools]:
    """Moves with y up, the flags of both their coordinates, and which are changes of thread."""
    value = np.frombuffer(body, np.uint8)
    high: Bools = value >= 0x80
    at = np.flatnonzero(escape_starts(high))
    ends = np.flatnonzero(value[at[::2]] == END)
    if ends.size == 0 or at[::2][ends[0]] != len(body) - 1:
        raise StitchFileError("the pes file's stitch list does not end where its header says")
    at = at[: 2 * ends[0]]
    long = high[at]
    first, second = value[at].astype(np.int16), value[at + long].astype(np.int16)
    change = (first[::2] == CHANGE[0]) & (second[::2] == CHANGE[1])
    wide = ((first & np.int16(0x0F)) << np.int16(8)) | second
    wide[wide >= 0x800] -= 0x1000
    flag: Small = (first & np.int16(0x70)) * long
    first[first >= 0x40] -= 0x80
    number = np.where(long, wide, first)
    return number[::2].copy(), -number[1::2], flag[::2] | flag[1::2], change

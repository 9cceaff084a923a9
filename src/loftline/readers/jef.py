"""Reader of jef files.

Written from two public descriptions: "Embroidery format JEF" of the EduTech wiki and
the page on this format of the KDE community wiki.

A header of little-endian 32-bit numbers: where the stitches begin (0), how many thread
colours (24) and how many pairs of bytes the body has (28). The body is pairs of signed
bytes, dx and dy, tenths of a millimetre, y up. ``80 01`` changes the thread, ``80 02``
jumps (a jump of nothing asks for a cut), ``80 10`` ends the file.

A cut is a change of thread or a jump.
"""

from __future__ import annotations

import struct

from loftline.errors import StitchFileError
from loftline.readers.pairs import read_pairs, refuse_unknown
from loftline.readers.records import Moves, as_sewn, check_size
from loftline.values import Sewn

HEADER_SIZE = 116
CHANGE, JUMP, END = 0x01, 0x02, 0x10


def read_jef(data: bytes) -> Sewn:
    """Read a jef file.

    Args:
        data: the whole file.

    Returns:
        Needle points in file coordinates: tenths of a millimetre, y up, zero at the centre
        of the hoop.

    Raises:
        StitchFileError: when header and body do not fit each other or the end is missing.
    """
    check_size(data, "jef")
    if len(data) < HEADER_SIZE:
        raise StitchFileError("the jef file is shorter than its header")
    start, colours, count = struct.unpack_from("<I20x2I", data)
    if start != HEADER_SIZE + 8 * colours or start > len(data):
        raise StitchFileError("the jef file's header does not say where its stitches begin")
    pairs = read_pairs(data[start:], "jef", end=END)
    if 2 * count != pairs.length:
        raise StitchFileError(
            f"the jef file's header speaks of {count} pairs of bytes, "
            f"its body has {pairs.length // 2}"
        )
    refuse_unknown(pairs, (CHANGE, JUMP), "jef", "which no public document knows")
    moves = Moves(dx=pairs.dx, dy=pairs.dy, needle=pairs.command < 0, cut=pairs.command == CHANGE)
    return as_sewn(moves, "jef")

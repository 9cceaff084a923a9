"""Reader of exp files.

Written from two public descriptions: one by H. Wiegman (records and a worked
example) and "Embroidery format EXP" of the EduTech wiki.

No header and no end. A stitch is two signed bytes, dx and dy, tenths of a millimetre, y up.
``80 01`` changes the thread, ``80 02`` and ``80 04`` jump; two bytes of move follow. Public
documents disagree about ``80 80``, so a file with one is refused.

A cut is a change of thread or a jump: the format has no mark of its own for it.
"""

from __future__ import annotations

import numpy as np

from loftline.readers.pairs import read_pairs, refuse_unknown
from loftline.readers.records import Moves, as_sewn, check_size
from loftline.values import Sewn

CHANGE, JUMPS = 0x01, (0x02, 0x04)


def read_exp(data: bytes) -> Sewn:
    """Read an exp file.

    Args:
        data: the whole file.

    Returns:
        Needle points in file coordinates: tenths of a millimetre, y up, zero at the start.

    Raises:
        StitchFileError: when the file is cut short, holds no stitch or an unknown command.

    >>> sewn = read_exp(bytes.fromhex("0A00 8004 0500 0000 00F6"))
    >>> sewn.x.tolist(), sewn.y.tolist(), sewn.run.tolist()
    ([10, 15, 15], [0, 0, -10], [0, 1, 1])
    """
    check_size(data, "exp")
    pairs = read_pairs(data, "exp")
    refuse_unknown(pairs, (CHANGE, *JUMPS), "exp", "whose meaning public documents disagree about")
    moves = Moves(
        dx=pairs.dx,
        dy=pairs.dy,
        needle=pairs.command < 0,
        cut=np.asarray(pairs.command == CHANGE),
    )
    return as_sewn(moves, "exp")

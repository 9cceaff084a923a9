"""The hoop fields of a jef file's header, for a design that is not centred.

"Embroidery format JEF" (EduTech wiki) and the page on this format of the KDE community wiki:
the file's zero is the centre of the hoop; the header has a hoop code, the reach of the
stitching from that centre to the left, top, right and bottom, and for four hoops how much
room is left on each side, or -1 where it does not fit. The library that writes the records
takes half the design's size for the reach, which is right only for a centred design and
picks too small a hoop for any other.
"""

from __future__ import annotations

import struct

FIRST_FIELD = 0x20

# Half width and half height, tenths of a millimetre, smallest first, with the code.
_HOOPS = (
    (250, 250, 1),
    (630, 550, 3),
    (700, 1000, 2),
    (1000, 1000, 4),
)
GREATEST_REACH = 1000
_LISTED = ((550, 550), (250, 250), (700, 1000), (700, 1000))


def put_right(data: bytes, reach: tuple[int, int, int, int]) -> bytes:
    """The same jef file with hoop fields that fit where its stitches lie.

    Args:
        data: the whole file.
        reach: how far the stitching goes from zero to the left, top, right and bottom,
            tenths of a millimetre, each under :data:`GREATEST_REACH`.
    """
    left, top, right, bottom = reach
    across, along = max(left, right), max(top, bottom)
    code = next(code for w, h, code in _HOOPS if across < w and along < h)
    fields = [code, *reach]
    for half_width, half_height in _LISTED:
        room = [half_width - left, half_height - top, half_width - right, half_height - bottom]
        fields += room if min(room) >= 0 else [-1] * 4
    packed = struct.pack(f"<{len(fields)}i", *fields)
    return data[:FIRST_FIELD] + packed + data[FIRST_FIELD + len(packed) :]

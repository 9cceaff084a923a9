"""The count of records in a u01 file's header, put right.

"Embroidery format U??" (EduTech wiki): the count, times three, is the length of what follows
the header. The library that writes the records counts one too many.
"""

from __future__ import annotations

import struct

HEADER_SIZE = 256
RECORD_SIZE = 3
COUNT_AT = 0x8C


def put_right(data: bytes) -> bytes:
    """The same u01 file with the number of its records in the header, the end included."""
    count = (len(data) - HEADER_SIZE) // RECORD_SIZE
    return data[:COUNT_AT] + struct.pack("<I", count) + data[COUNT_AT + 4 :]

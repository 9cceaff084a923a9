"""The text header of a dst file, put right from the records that follow it.

Offsets and widths of the fields: the page on this format of the KDE community wiki. The
library that writes the records counts a cut as one record, leaves changes of thread out
and turns the extents upside down, so the header is made anew here. The records are decoded
by bit arithmetic, on purpose another way than the readers do it.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

HEADER_SIZE = 512
RECORD_SIZE = 3
GREATEST_CHANGES = 999
GREATEST_EXTENT = 99_999
"""What the header's fields of three and five digits hold."""

# weight: byte, and the bits of x+, x-, y+, y- in it
_DIGITS = {
    1: (0, (0, 1, 7, 6)),
    9: (0, (2, 3, 5, 4)),
    3: (1, (0, 1, 7, 6)),
    27: (1, (2, 3, 5, 4)),
    81: (2, (2, 3, 5, 4)),
}


def put_right(data: bytes, name: str) -> bytes:
    """The same dst file with a header that tells the truth.

    ``ST`` counts all records, the end included. The extents count every place the frame
    stops at, the start, jumps and the small moves of a cut included, so that nothing moves
    farther than the header says. ``AX`` and ``AY`` are the place of the last record.

    Args:
        data: the whole file.
        name: ASCII, at most 16 characters.

    Returns:
        The file with a new header of 512 bytes and unchanged records.
    """
    records = np.frombuffer(data, np.uint8, offset=HEADER_SIZE).reshape(-1, RECORD_SIZE)
    x, y = _places(records)
    changes = int(np.count_nonzero((records[:, 2] & 0xF0) == 0xC0))
    fields = (
        f"LA:{name:<16}",
        f"ST:{len(records):7d}",
        f"CO:{changes:3d}",
        f"+X:{max(0, int(x.max())):5d}",
        f"-X:{max(0, -int(x.min())):5d}",
        f"+Y:{max(0, int(y.max())):5d}",
        f"-Y:{max(0, -int(y.min())):5d}",
        f"AX:{_signed(int(x[-1]))}",
        f"AY:{_signed(int(y[-1]))}",
        "MX:+    0",
        "MY:+    0",
        "PD:******",
    )
    text = "".join(f"{field}\r" for field in fields).encode("ascii") + b"\x1a"
    return text.ljust(HEADER_SIZE, b" ") + data[HEADER_SIZE:]


def _signed(value: int) -> str:
    return f"{'-' if value < 0 else '+'}{abs(value):5d}"


def _places(
    records: npt.NDArray[np.uint8],
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Where each record ends, tenths of a millimetre, y up."""
    bits = records.astype(np.int64)
    dx = np.zeros(len(bits), np.int64)
    dy = np.zeros(len(bits), np.int64)
    for weight, (byte, (x_more, x_less, y_more, y_less)) in _DIGITS.items():
        value = bits[:, byte]
        dx += weight * (((value >> x_more) & 1) - ((value >> x_less) & 1))
        dy += weight * (((value >> y_more) & 1) - ((value >> y_less) & 1))
    return np.cumsum(dx), np.cumsum(dy)

"""Reader of vp3 files.

Written from two public descriptions: the page on it of the KDE community wiki (packets,
their tags and headers) and "Embroidery format VP3" of the EduTech wiki (thread details).

Packets inside packets, each a tag ``00 n 00`` and the length of what follows (32 bits, big
end first): the whole (2), a hoop (3), a thread (5), its stitches (1). Places are in
thousandths of a millimetre, y up; the thread says where it starts, from the centre of its
hoop. Stitches are pairs of signed bytes, tenths of a millimetre, y down. ``80 01`` and two
numbers of 16 bits and ``80 02`` are one long stitch; ``80 03`` cuts the thread. There are
no jumps: the frame goes straight from one run to the next, so ``via`` is always empty.

A cut is ``80 03`` or a new thread.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from loftline.errors import StitchFileError
from loftline.readers.records import Moves, Small, as_sewn, check_size
from loftline.values import Bools, Ints, Sewn

SIGNATURE = b"%vsm%\0"
WHOLE, HOOP, THREAD, STITCHES = 2, 3, 5, 1
ESCAPE, LONG, LONG_END, CUT = -128, 1, 2, 3
FARTHEST = 10**6
"""Tenths of a millimetre from the end of one thread to the start of the next: 100 m."""

MICROMETRES = 100
"""Thousandths of a millimetre in a tenth."""


class _Bytes:
    """A packet's bytes, read from the front, never beyond its end."""

    def __init__(self, data: bytes) -> None:
        self._data = data
        self._at = 0

    def __len__(self) -> int:
        return len(self._data) - self._at

    def take(self, count: int) -> bytes:
        """The next bytes."""
        if count > len(self):
            raise StitchFileError("the vp3 file is cut short, or a length in it is wrong")
        self._at += count
        return self._data[self._at - count : self._at]

    def numbers(self, layout: str) -> tuple[int, ...]:
        """The next numbers, big end first."""
        return struct.unpack(f">{layout}", self.take(struct.calcsize(f">{layout}")))

    def skip_text(self) -> None:
        """Step over a text with its 16-bit length in front."""
        self.take(self.numbers("H")[0])

    def packet(self, kind: int) -> _Bytes:
        """The packet that begins here."""
        zero, tag, null, length = self.numbers("3BI")
        if (zero, tag, null) != (0, kind, 0):
            raise StitchFileError(f"the vp3 file has no packet of kind {kind} where one belongs")
        return _Bytes(self.take(length))

    def rest(self) -> bytes:
        """Everything that is left."""
        return self.take(len(self))


def read_vp3(data: bytes) -> Sewn:
    """Read a vp3 file.

    Args:
        data: the whole file.

    Returns:
        Needle points in file coordinates: tenths of a millimetre, y up.

    Raises:
        StitchFileError: when a packet is missing, cut short or not as described.
    """
    check_size(data, "vp3")
    file = _Bytes(data)
    if not data.startswith(SIGNATURE):
        raise StitchFileError('a vp3 file begins with "%vsm%", this one does not')
    file.take(len(SIGNATURE))
    file.skip_text()
    move, cut = _records(file.packet(WHOLE))
    sewn = as_sewn(Moves(dx=move[:, 0], dy=move[:, 1], needle=~cut, cut=cut), "vp3")
    nowhere = np.empty(0, np.int64)
    return replace(sewn, via=nowhere.reshape(0, 2), via_run=nowhere)


def _records(whole: _Bytes) -> tuple[Small, Bools]:
    """Moves of all threads, shape ``(n, 2)``, y up, and which of them are cuts instead."""
    rows: list[Small] = []
    cuts: list[Bools] = []
    here = np.zeros(2, np.int64)
    for start, body in _threads(whole):
        moves, cut = _moves(body)
        way = start - here
        if np.abs(way).max() > FARTHEST:
            raise StitchFileError("the threads of the vp3 file lie farther apart than any hoop")
        # A new thread is a cut, and the frame's way to its start a record of its own.
        rows.extend((way[None, :].astype(np.int32), moves))
        cuts.extend((np.ones(1, np.bool_), cut))
        here = start + moves.sum(axis=0, dtype=np.int64)
    if not rows:
        raise StitchFileError("the vp3 file holds no stitch")
    return np.concatenate(rows), np.concatenate(cuts)


def _threads(whole: _Bytes) -> Iterator[tuple[Ints, bytes]]:
    """Where each thread starts, and its coded stitches."""
    whole.skip_text()
    *_, hoops = whole.numbers("4iI5B")
    for _ in range(hoops):
        hoop = whole.packet(HOOP)
        centre = hoop.numbers("2i")
        hoop.take(3 + 6 * 4)
        hoop.skip_text()
        hoop.take(2 + 4 * 4 + 6)
        hoop.skip_text()
        (count,) = hoop.numbers("H")
        for _ in range(count):
            thread = hoop.packet(THREAD)
            offset = thread.numbers("2i")
            (colours, _) = thread.numbers("2B")
            thread.take(6 * colours + 2)
            for _ in ("catalogue number", "description", "brand"):
                thread.skip_text()
            thread.take(8)
            stitches = thread.packet(STITCHES)
            stitches.take(3)
            place = np.array([c + o for c, o in zip(centre, offset, strict=True)], np.int64)
            if np.any(place % MICROMETRES):
                raise StitchFileError("a thread of the vp3 file starts off the tenths")
            yield place // MICROMETRES, stitches.rest()


def _moves(body: bytes) -> tuple[Small, Bools]:
    """Moves of one thread, shape ``(n, 2)``, y up, and which of them are cuts instead."""
    if len(body) % 2:
        raise StitchFileError("the vp3 file is cut short: half a stitch stands in it")
    pairs = np.frombuffer(body, np.int8).reshape(-1, 2)
    code = pairs[:, 0] == ESCAPE
    long = _long(np.flatnonzero(code & (pairs[:, 1] == LONG)), len(pairs))
    keep = np.ones(len(pairs), np.bool_)
    for behind in (1, 2, 3):
        keep[long + behind] = False  # numbers, whatever they look like, and the end mark
    cut = code & keep & (pairs[:, 1] == CUT)
    known = cut.copy()
    known[long] = True
    if np.any(code & keep & ~known) or np.any(pairs[long + 3] != (ESCAPE, LONG_END)):
        raise StitchFileError("the vp3 file has a command that no public document knows")
    number = np.frombuffer(body, ">i2")
    moves = pairs.astype(np.int32)
    moves[cut] = 0
    moves[long, 0], moves[long, 1] = number[long + 1], number[long + 2]
    moves[:, 1] *= -1
    return moves[keep], cut[keep]


def _long(places: Ints, count: int) -> Ints:
    """Which of the places begin a long stitch and do not lie inside the one before."""
    starts: list[int] = []
    after = 0
    for at in places.tolist():
        if at >= after:
            starts.append(at)
            after = at + 4
    if after > count:
        raise StitchFileError("the vp3 file is cut short: half a stitch stands in it")
    return np.array(starts, np.int64)

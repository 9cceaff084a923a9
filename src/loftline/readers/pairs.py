"""Pairs of signed bytes with an escape: the records that exp and jef have in common.

A stitch is two bytes, dx and dy. A first byte of 0x80 (no move is -128) makes the second
byte a command, and the pair behind it the move that goes with it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.errors import StitchFileError
from loftline.readers.records import Small, escape_starts

ESCAPE = 0x80


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairs:
    """Records of a body of pairs.

    Attributes:
        dx, dy: ``(n,)`` the move as the file has it.
        command: ``(n,)`` the command byte, ``-1`` for a stitch.
        length: bytes used, with the end command where one was asked for.
    """

    dx: Small
    dy: Small
    command: Small
    length: int


def read_pairs(body: bytes, ext: str, *, end: int | None = None) -> Pairs:
    """Split a body into records.

    Args:
        body: the bytes behind the header.
        ext: named in messages.
        end: the command that ends the records (it has no move); ``None``: the body's end.

    Raises:
        StitchFileError: when the body is cut short.
    """
    pairs = np.frombuffer(body, np.int8, len(body) // 2 * 2).reshape(-1, 2)
    escaped = pairs[:, 0] == ESCAPE - 256
    starts = escape_starts(escaped)
    command = np.where(escaped, pairs[:, 1] & np.int16(0xFF), np.int16(-1))
    used = len(pairs)
    if end is not None:
        ends = np.flatnonzero(starts & (command == end))
        if ends.size == 0:
            raise StitchFileError(f"the {ext} file is cut short: its end command is missing")
        used = int(ends[0])
    elif len(body) % 2:
        raise StitchFileError(f"the {ext} file is cut short: half a stitch stands at its end")
    at = np.flatnonzero(starts[:used])
    command = command[at]
    move = at + (command >= 0)
    if move.size and move[-1] >= used:
        raise StitchFileError(f"the {ext} file is cut short: a command at its end has no move")
    return Pairs(
        dx=pairs[move, 0],
        dy=pairs[move, 1],
        command=command,
        length=2 * used + (2 if end is not None else 0),
    )


def refuse_unknown(pairs: Pairs, known: tuple[int, ...], ext: str, why: str) -> None:
    """Refuse commands that the reader does not know.

    Raises:
        StitchFileError: naming the first unknown command and ``why`` it is refused.
    """
    wrong = np.flatnonzero((pairs.command >= 0) & ~np.isin(pairs.command, known))
    if wrong.size:
        raise StitchFileError(
            f"the {ext} file has the command 80 {int(pairs.command[wrong[0]]):02X}, {why}"
        )

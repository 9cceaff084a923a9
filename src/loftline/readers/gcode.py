"""Reader of part programs in the words of ISO 6983 that move a frame under a needle.

Blocks of words, a letter and a number each; comments in round brackets or behind ``;``.
Places are millimetres from the program's zero (``G21``, ``G90``). ``G0`` moves, ``G1`` moves
at the feed; the needle goes down once where the frame stands at ``M3`` or ``M4``, and once
more at the end of each ``G1`` block until ``M5``. ``M0`` and ``M1`` wait, ``M2`` or ``M30`` end.

A cut is ``M5`` or a wait.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterator

import numpy as np

from loftline.errors import StitchFileError
from loftline.readers.records import Moves, as_sewn, check_size
from loftline.values import Ints, Sewn

GREATEST_PROGRAM = 1 << 25
"""Bytes, 32 MiB: a million needle points take less than 20."""

MOST_RECORDS = 3_000_000
"""Moves, starts and stops of the needle: three for each of the most needle points there may be."""

FARTHEST_MM = 100_000.0
LONGEST_BLOCK = 256

_BLOCK = re.compile(r"[^\r\n]+")
_COMMENT = re.compile(r"\([^()]*\)|;.*")
_WORDS = re.compile(r"(?:\s*[A-Z]\s*[-+]?(?:[0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9}))*\s*")
_WORD = re.compile(r"([A-Z])\s*([-+]?[0-9.]+)")
_G_MOVE, _G_KNOWN = {0.0, 1.0}, {17.0, 21.0, 40.0, 49.0, 54.0, 80.0, 90.0, 94.0}
_WHY_NOT = {
    ("G", 2.0): "curves",
    ("G", 3.0): "curves",
    ("G", 20.0): "inches",
    ("G", 91.0): "steps instead of places",
}
_DOWN, _UP, _WAITS, _ENDS = {3.0, 4.0}, 5.0, {0.0, 1.0}, {2.0, 30.0}
_IGNORED = {"N", "F", "S", "T"}


class _Program:
    """What the blocks so far have done; each record is one move, and what it did."""

    MOVE, NEEDLE, CUT = range(3)

    def __init__(self) -> None:
        self.x = array("q", [0])
        self.y = array("q", [0])
        self.what = bytearray()
        self._motion = 0.0
        self._sews = False

    def block(self, words: list[tuple[str, str]], number: int) -> bool:
        """Take one block in; false when the program ends with it."""
        place: dict[str, int] = {}
        ended = False
        for letter, digits in words:
            try:
                value = float(digits)
            except ValueError:  # two points in one number
                raise _unknown(f"{letter}{digits}", number) from None
            if letter in "XY":
                if abs(value) > FARTHEST_MM:
                    raise StitchFileError(f"line {number} of the program lies beyond 100 m")
                place[letter] = round(value * 10)
            elif letter == "G" and value in _G_MOVE:
                self._motion = value
            elif letter == "M":
                ended = self._machine(value, number) or ended
            elif letter not in _IGNORED and (letter != "G" or value not in _G_KNOWN):
                raise _unknown(f"{letter}{value:g}", number, _WHY_NOT.get((letter, value)))
        if place:
            self._move(place, number)
        return not ended

    def _machine(self, value: float, number: int) -> bool:
        if value in _DOWN:
            if not self._sews:
                self._record(self.NEEDLE)
            self._sews = True
        elif value == _UP or value in _WAITS or value in _ENDS:
            self._sews = False
            self._record(self.CUT)
        else:
            raise _unknown(f"M{value:g}", number)
        return value in _ENDS

    def _move(self, place: dict[str, int], number: int) -> None:
        if self._sews and self._motion == 0:
            raise StitchFileError(f"line {number} of the program moves with G0 while it sews")
        here = self.x[-1], self.y[-1]
        self._record(self.NEEDLE if self._sews else self.MOVE)
        self.x[-1], self.y[-1] = place.get("X", here[0]), place.get("Y", here[1])

    def _record(self, what: int) -> None:
        if len(self.what) == MOST_RECORDS:
            raise StitchFileError("the gcode file has more moves than can be sewn")
        self.x.append(self.x[-1])
        self.y.append(self.y[-1])
        self.what.append(what)


def read_gcode(data: bytes) -> Sewn:
    r"""Read a part program.

    Args:
        data: the whole file, ASCII.

    Returns:
        Needle points in file coordinates: tenths of a millimetre, y up, zero at the program's.

    Raises:
        StitchFileError: naming the first line with a word that is not read.

    >>> sewn = read_gcode(b"G21 G90\nG0 X1 Y2\nM3\nG1 X4.5 Y2\nM5\nM30\n")
    >>> sewn.x.tolist(), sewn.y.tolist()
    ([10, 45], [20, 20])
    """
    check_size(data, "gcode", GREATEST_PROGRAM)
    if not data.isascii():
        raise StitchFileError("the gcode file holds signs outside ASCII, so it is no part program")
    program = _Program()
    for number, words in _blocks(data.decode("ascii")):
        if not program.block(words, number):
            break
    else:
        raise StitchFileError("the gcode file is cut short: its end (M30) is missing")
    what = np.frombuffer(program.what, np.uint8)
    moves = Moves(
        dx=_steps(program.x),
        dy=_steps(program.y),
        needle=what == _Program.NEEDLE,
        cut=what == _Program.CUT,
    )
    return as_sewn(moves, "gcode")


def _steps(places: array[int]) -> Ints:
    values: Ints = np.frombuffer(places, np.int64)
    return values[1:] - values[:-1]


def _blocks(text: str) -> Iterator[tuple[int, list[tuple[str, str]]]]:
    """The words of each line that has any, and the number of the line, blank ones left out."""
    for number, found in enumerate(_BLOCK.finditer(text), 1):
        line = found[0]
        if len(line) > LONGEST_BLOCK:
            raise StitchFileError(f"line {number} of the program is longer than any block")
        if "(" in line or ";" in line:
            line = _COMMENT.sub("", line)
        line = line.strip("% \t").upper()
        if not line:
            continue
        if _WORDS.fullmatch(line) is None:
            raise StitchFileError(f"line {number} of the program is no row of words and numbers")
        yield number, _WORD.findall(line)


def _unknown(word: str, number: int, why: str | None = None) -> StitchFileError:
    says = f": {why} are not read" if why else ", a word that is not read"
    return StitchFileError(f"line {number} of the program has {word}{says}")

"""Reader of the table of needle points (RFC 4180), for a second look at what is written."""

from __future__ import annotations

from array import array
from collections.abc import Mapping

import numpy as np

from loftline.errors import StitchFileError
from loftline.values import KIND_WORDS, Ints, Sewn

HEAD = ["number", "x_mm", "y_mm", "run", "kind"]


def read_points(data: bytes) -> Sewn:
    r"""Read the table of needle points.

    Args:
        data: the whole file, lines ending in CR LF.

    Returns:
        Needle points in panel coordinates, tenths of a millimetre, with runs and kinds. The
        table does not hold the places between the runs.

    Raises:
        StitchFileError: naming the first line that is not as described.

    >>> read_points(b"number,x_mm,y_mm,run,kind\r\n1,0.5,-2.0,1,tie\r\n").y.tolist()
    [-20]
    """
    if not data.isascii():
        raise StitchFileError("the csv file holds signs outside ASCII")
    head, *rows = data.decode("ascii").split("\r\n")
    if head.split(",") != HEAD or rows[-1:] != [""]:
        raise StitchFileError("the csv file does not begin with its heads or end with a whole line")
    kinds = {word: number for number, word in enumerate(KIND_WORDS)}
    columns = x, y, run, kind = array("q"), array("q"), array("q"), array("q")
    for number, row in enumerate(rows[:-1], 1):
        try:
            for column, value in zip(columns, _values(row, number, kinds), strict=True):
                column.append(value)
        except (ValueError, KeyError, OverflowError) as error:
            raise StitchFileError(
                f"line {number + 1} of the csv file is no needle point"
            ) from error
    none = np.empty(0, np.int64)
    return Sewn(
        x=_whole(x),
        y=_whole(y),
        run=_whole(run),
        kind=_whole(kind),
        via=none.reshape(0, 2),
        via_run=none,
    )


def _values(row: str, number: int, kinds: Mapping[str, int]) -> tuple[int, int, int, int]:
    count, x, y, run, word = row.split(",")
    if int(count) != number:
        raise ValueError(count)
    return _tenths(x), _tenths(y), int(run) - 1, kinds[word]


def _tenths(text: str) -> int:
    whole, _, tenth = text.partition(".")
    if len(tenth) != 1:
        raise ValueError(text)
    return int(whole + tenth)


def _whole(column: array[int]) -> Ints:
    values: Ints = np.frombuffer(column, np.int64)
    return values

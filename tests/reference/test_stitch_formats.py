"""Stitch formats against bytes and tables printed by others."""

from __future__ import annotations

import io

import numpy as np
import pyembroidery
import pytest

from loftline.readers import read_dst, read_exp
from loftline.writers.stitch_files import FORMATS, write_stitch_file
from support_stitch_files import dst_file, encode_dst, sewn_of


def test_the_printed_dst_records() -> None:
    # Reference 38. Source: public description of the format, achatina.de, page DST: a stitch
    # by x -12, y +64 is A8 12 23, the same as a jump A8 12 A3, a change of thread 00 00 C3.
    assert encode_dst(-12, 64) == bytes.fromhex("A81223")
    assert encode_dst(-12, 64, jump=True) == bytes.fromhex("A812A3")
    stitch, jump, change = (bytes.fromhex(h) for h in ("A81223", "A812A3", "0000C3"))
    sewn = read_dst(dst_file(stitch, jump, stitch, change, stitch))
    assert sewn.x.tolist() == [-12, -36, -48]  # one jump before a stitch is a long stitch
    assert sewn.y.tolist() == [64, 192, 256]
    assert sewn.run.tolist() == [0, 0, 1]


def test_every_dst_step_is_read_as_the_printed_table_has_it() -> None:
    # Reference 39. Source: the same page's bit table, and the KDE community wiki's page
    # "Tajima Ternary"; the encoder stands in support_stitch_files, written from that table.
    span = range(-121, 122)
    deltas = [(dx, dy) for dx in span for dy in span]
    sewn = read_dst(dst_file(*(encode_dst(dx, dy) for dx, dy in deltas)))
    assert len(sewn) == 243**2
    steps = np.column_stack((np.diff(sewn.x, prepend=0), np.diff(sewn.y, prepend=0)))
    assert np.array_equal(steps, np.array(deltas))


def test_every_dst_step_is_written_as_the_printed_table_has_it() -> None:
    # Reference 39, the other way round, for the library that writes our files.
    rng = np.random.default_rng(39)
    deltas = rng.integers(-121, 122, (4000, 2))
    points = np.cumsum(deltas, axis=0).tolist()
    data = write_stitch_file("dst", sewn_of([[(0, 0), *points]]), name="steps", at_cuts="trim")
    records = [data[i : i + 3] for i in range(515, len(data) - 3, 3)]
    assert records == [encode_dst(dx, dy) for dx, dy in deltas.tolist()]


@pytest.mark.parametrize(
    ("field", "offset", "size"),
    [("LA", 0, 20), ("ST", 20, 11), ("CO", 31, 7), ("+X", 38, 9), ("-X", 47, 9), ("+Y", 56, 9)],
)
def test_dst_header_fields_lie_where_the_table_says(field: str, offset: int, size: int) -> None:
    # Reference 39. Source: KDE community wiki, page "Tajima Ternary": offset / size.
    sewn = sewn_of([[(-30, 40), (50, 60)], [(70, -80), (90, 10)]])
    data = write_stitch_file("dst", sewn, name="Spoke pouch", at_cuts="trim")
    text = data[offset : offset + size].decode("ascii")
    assert text.startswith(f"{field}:")
    assert text.endswith("\r")
    assert data[512 - 1 : 512] == b" "
    assert data[-3:] == bytes.fromhex("0000F3")


def test_a_hundred_millimetres_in_dst() -> None:
    # Reference 40: 41 needle points 2.5 mm apart along 100 mm are 638 bytes, 512 of header
    # and 3 for each needle point and the end; the extent is 1000 tenths; no jump.
    sewn = sewn_of([[(25 * i, 0) for i in range(41)]])
    data = write_stitch_file("dst", sewn, name="line", at_cuts="trim")
    assert len(data) == 638 == 512 + 3 * 42
    assert data[38:47] == b"+X: 1000\r"
    assert data[47:74] == b"-X:    0\r+Y:    0\r-Y:    0\r"
    assert not any(data[i] & 0x80 for i in range(514, len(data) - 3, 3))


def test_the_worked_exp_example() -> None:
    # Reference 41. Source: melco.txt, H. Wiegman: a closed rectangle of 38.1 by 25.4 mm
    # with one change of thread that ends where it began.
    data = bytes.fromhex(
        "00 7F 00 7F 7F 00 80 02 7F 00 7F 00 80 01 00 81 00 81 81 00 80 02 81 00 81 00"
    )
    sewn = read_exp(data)
    assert [int(np.ptp(sewn.x)), int(np.ptp(sewn.y))] == [381, 254]
    corners = [(0, 127), (0, 254), (127, 254), (381, 254), (381, 0), (254, 0), (0, 0)]
    assert list(zip(sewn.x.tolist(), sewn.y.tolist(), strict=True)) == corners
    assert sewn.run.tolist() == [0, 0, 0, 1, 2, 2, 3]  # jump, change of thread, jump


def test_the_library_and_the_printed_exp_records_agree() -> None:
    # Same source: a stitch is dx, dy in two's complement, y up.
    sewn = sewn_of([[(0, 0), (0, 127), (127, 127), (0, 0)]])
    data = write_stitch_file("exp", sewn, name="", at_cuts="trim")
    assert data == bytes.fromhex("0000 007F 7F00 8181")


def test_settings_are_given_to_a_library_that_knows_them() -> None:
    # A misspelt setting would be ignored without a word: each must change something or be
    # one of the library's own names. Source: the library's README, section "Encoder".
    pattern = pyembroidery.EmbPattern()
    pattern.stitches = [[0, 0, pyembroidery.STITCH], [900, 0, pyembroidery.STITCH]]
    pattern.add_thread(0)
    far, near = io.BytesIO(), io.BytesIO()
    pyembroidery.write_exp(pattern, far, dict(FORMATS["exp"].settings))
    pyembroidery.write_exp(pattern, near, {**FORMATS["exp"].settings, "max_stitch": 60})
    assert len(near.getvalue()) > len(far.getvalue())

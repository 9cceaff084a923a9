"""Readers: how each format shows a cut, and what is refused with a sentence."""

from __future__ import annotations

import struct

import numpy as np
import pytest

from loftline.errors import StitchFileError
from loftline.readers import (
    GREATEST_BYTES,
    READERS,
    read_dst,
    read_exp,
    read_jef,
    read_pes,
    read_stitch_file,
    read_u01,
    read_xxx,
)
from support_stitch_files import dst_file, encode_dst

STITCH = encode_dst(10, 0)
JUMP = encode_dst(100, 0, jump=True)
CUT = (
    encode_dst(2, -2, jump=True),
    encode_dst(-4, 4, jump=True),
    encode_dst(2, -2, jump=True),
)


def jef_file(body: str, colours: int = 1) -> bytes:
    data = bytes.fromhex(body)
    start = 116 + 8 * colours
    head = struct.pack("<I20x2I", start, colours, len(data) // 2)
    return head.ljust(start, b"\0") + data


def u01_file(records: str) -> bytes:
    data = bytes.fromhex(records)
    return b"0" * 128 + struct.pack("<12xI", len(data) // 3).ljust(128, b"\0") + data


def xxx_file(records: str) -> bytes:
    return bytes(256) + bytes.fromhex(records)


def pes_file(coded: str) -> bytes:
    body = bytes.fromhex(coded)
    block = bytes(2) + (16 + len(body)).to_bytes(3, "little") + bytes(11) + body
    return b"#PES0001" + struct.pack("<I", 22) + bytes(10) + b"LA:".ljust(512) + block


def test_two_dst_jumps_are_a_long_stitch_and_three_a_cut() -> None:
    sewn = read_dst(dst_file(STITCH, JUMP, JUMP, STITCH, JUMP, JUMP, JUMP, STITCH))
    assert sewn.x.tolist() == [10, 220, 530]
    assert sewn.run.tolist() == [0, 0, 1]
    assert sewn.via.tolist() == [[320, 0], [420, 0], [520, 0]]
    assert sewn.via_run.tolist() == [1, 1, 1]


def test_a_dst_cut_in_place_is_no_move() -> None:
    sewn = read_dst(dst_file(STITCH, *CUT, JUMP, encode_dst(0, 0), STITCH))
    assert sewn.run.tolist() == [0, 1, 1]
    assert sewn.via.tolist() == []  # the jump ends on the needle point itself


def test_a_dst_change_of_thread_is_a_cut() -> None:
    change = bytes.fromhex("0000C3")
    sewn = read_dst(dst_file(change, STITCH, change, STITCH))
    assert sewn.run.tolist() == [0, 1]


def test_jumps_before_the_first_stitch_are_places() -> None:
    sewn = read_dst(dst_file(JUMP, STITCH))
    assert sewn.run.tolist() == [0]
    assert sewn.via.tolist() == [[100, 0]]
    assert sewn.via_run.tolist() == [0]


def test_jumps_behind_the_last_stitch_lead_nowhere() -> None:
    sewn = read_dst(dst_file(STITCH, JUMP, JUMP, JUMP))
    assert len(sewn.via) == 0


def test_a_jef_jump_of_nothing_is_a_cut_and_no_place() -> None:
    sewn = read_jef(jef_file("0A00 80020000 80020000 80020500 0000 80010000 00F6 8010"))
    assert sewn.x.tolist() == [10, 15, 15]
    assert sewn.y.tolist() == [0, 0, -10]
    assert sewn.run.tolist() == [0, 1, 2]
    assert len(sewn.via) == 0


def test_pes_coordinates_of_one_and_two_bytes() -> None:
    # jump 0, 0; 63, -64; long 64, -65; flagged move 2047, -2048; stitch; change of thread
    sewn = read_pes(pes_file("90009000 3F40 80408FBF A7FFA800 0000 FEB002 0101 FF"))
    assert sewn.x.tolist() == [63, 127, 2174, 2175]
    assert sewn.y.tolist() == [64, 129, 2177, 2176]
    assert sewn.run.tolist() == [0, 0, 1, 2]


def test_u01_records_say_the_direction_apart_from_the_distance() -> None:
    # needle 1; jump; stitch; fast stitch back and down; cut; stitch; wait; slow stitch; end
    sewn = read_u01(u01_file("890000 81050A 800000 E2030C 870000 A00001 880000 840200 F80000"))
    assert sewn.x.tolist() == [10, -2, -3, -3]
    assert sewn.y.tolist() == [5, 2, 2, 4]
    assert sewn.run.tolist() == [0, 0, 1, 2]


def test_a_u01_count_may_leave_the_end_out() -> None:
    data = bytearray(u01_file("800000 F80000"))
    data[0x8C] = 1
    assert len(read_u01(bytes(data))) == 1


def test_xxx_has_stitches_of_two_and_of_five_bytes() -> None:
    sewn = read_xxx(xxx_file("0A05 7D2C01D4FE 7F010100 7F030000 0001 7F080000 FFFF 7F7F0214"))
    assert sewn.x.tolist() == [10, 310, 311, 310]
    assert sewn.y.tolist() == [5, -295, -294, -295]
    assert sewn.run.tolist() == [0, 0, 1, 2]


def test_an_escape_byte_inside_a_move_is_no_command() -> None:
    sewn = read_exp(bytes.fromhex("0A00 8004 8000 0500"))
    assert sewn.x.tolist() == [10, -113]
    assert sewn.run.tolist() == [0, 1]


@pytest.mark.parametrize(
    ("ext", "data", "words"),
    [
        ("dst", b"", 'begins with "LA:"'),
        ("dst", b"LA:".ljust(512) + STITCH, "end record"),
        ("dst", dst_file(b"\x01\x00\x00"), "record 1 of the dst file is 01 00 00"),
        ("dst", dst_file(STITCH, b"\x00\x00\x43"), "record 2"),
        ("dst", dst_file(), "no stitch"),
        ("exp", b"", "no stitch"),
        ("exp", b"\x01", "cut short"),
        ("exp", bytes.fromhex("0100 8004"), "no move"),
        ("exp", bytes.fromhex("0100 80800700"), "80 80"),
        ("jef", b"\0" * 50, "shorter than its header"),
        ("jef", b"\0" * 200, "where its stitches begin"),
        ("jef", jef_file("0100"), "end command"),
        ("jef", jef_file("0100 8010 0000"), "speaks of 3 pairs"),
        ("jef", jef_file("0100 80330000 8010"), "80 33"),
        ("jef", jef_file("8010"), "no stitch"),
        ("pes", b"PK", "#PES"),
        ("pes", b"#PES0001" + b"\xff" * 8, "no stitch list"),
        ("pes", pes_file("0101"), "does not end"),
        ("pes", pes_file("0101 FF FF"), "does not end"),
        ("pes", pes_file("C00101 FF"), "unknown flag"),
        ("pes", pes_file("0101 FF")[:-1], "cut short"),
        ("u01", b"", "row of the sign"),
        ("u01", u01_file("800000"), "end record"),
        ("u01", u01_file("000000 F80000"), "record 1 of the u01 file is 00 00 00"),
        ("u01", u01_file("800000 860000 F80000"), "record 2"),
        ("u01", u01_file("F80000"), "no stitch"),
        ("u01", u01_file("800000 F80000 800000 800000"), "speaks of 4 records, it has 2"),
        ("xxx", b"XXX", "256 bytes of header"),
        ("xxx", b"\1" * 300, "256 bytes of header"),
        ("xxx", xxx_file("0101 0101"), "cut short"),
        ("xxx", xxx_file("0101 7F"), "cut short"),
        ("xxx", xxx_file("0101 7D0101"), "cut short"),
        ("xxx", xxx_file("0101 7F550000 7F7F"), "7F 55"),
        ("xxx", xxx_file("7F7F0214"), "no stitch"),
        ("vp3", b"%vsm%", "%vsm%"),
        ("vp3", b"%vsm%\0\0\0" + bytes(40), "packet of kind 2"),
        ("vp3", b"%vsm%\0\xff\xff", "cut short"),
    ],
)
def test_what_is_no_such_file_is_refused_in_words(ext: str, data: bytes, words: str) -> None:
    with pytest.raises(StitchFileError) as caught:
        read_stitch_file(ext, data)
    assert words in str(caught.value)


@pytest.mark.parametrize("ext", sorted(READERS))
def test_a_file_too_large_is_refused_unread(ext: str) -> None:
    with pytest.raises(StitchFileError, match="more than can be sewn"):
        read_stitch_file(ext, bytes(GREATEST_BYTES + 1))


def test_more_needle_points_than_can_be_sewn_are_refused() -> None:
    with pytest.raises(StitchFileError, match="1,000,001 needle points"):
        read_exp(b"\1\0" * 1_000_001)


def test_an_unknown_ending_is_refused() -> None:
    with pytest.raises(StitchFileError, match=r'no reader for "\.abc"'):
        read_stitch_file("abc", b"")


def test_values_are_those_of_the_stitches_stage() -> None:
    sewn = read_dst(dst_file(STITCH, STITCH))
    for values in (sewn.x, sewn.y, sewn.run, sewn.kind, sewn.via_run):
        assert values.dtype == np.int64
    assert sewn.via.shape == (0, 2)
    assert sewn.origin == (0, 0)

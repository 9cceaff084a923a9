"""What is written into stitch files beside the needle points, and what is refused."""

from __future__ import annotations

import struct
from dataclasses import replace

import numpy as np
import pytest

from loftline.errors import ExportError, FormatLimit
from loftline.readers import read_stitch_file
from loftline.values import Sewn
from loftline.writers.stitch_files import FORMATS, ascii_name, limit, write_stitch_file
from support_stitch_files import EXTS, STEP, encode_dst, sewn_of

TWO = sewn_of([[(0, 0), (30, 0), (60, 10)], [(60, 300), (0, 310)], [(500, 310), (490, 300)]])


def write(ext: str, sewn: Sewn = TWO, name: str = "Spoke pouch", at_cuts: str = "trim") -> bytes:
    return write_stitch_file(ext, sewn, name=name, at_cuts=at_cuts)


def same_points(sewn: Sewn, data: bytes, ext: str) -> bool:
    read = read_stitch_file(ext, data)
    return bool(
        np.array_equal(read.x, sewn.x - sewn.origin[0])
        and np.array_equal(read.y, sewn.y - sewn.origin[1])
        and np.array_equal(read.run, sewn.run)
    )


def test_the_formats_are_those_that_can_be_read_back() -> None:
    assert sorted(FORMATS) == sorted(EXTS)


@pytest.mark.parametrize("ext", EXTS)
@pytest.mark.parametrize("at_cuts", ["trim", "stop"])
def test_runs_are_cut_either_way(ext: str, at_cuts: str) -> None:
    assert same_points(TWO, write(ext, at_cuts=at_cuts), ext)


@pytest.mark.parametrize("ext", EXTS)
@pytest.mark.parametrize("at_cuts", ["trim", "stop"])
def test_a_run_may_begin_where_the_last_one_ended(ext: str, at_cuts: str) -> None:
    sewn = sewn_of([[(0, 0), (30, 0)], [(30, 0)], [(30, 0), (0, 0)]])
    assert same_points(sewn, write(ext, sewn, at_cuts=at_cuts), ext)


@pytest.mark.parametrize("ext", EXTS)
def test_the_same_bytes_come_out_twice(ext: str) -> None:
    assert write(ext) == write(ext)


@pytest.mark.parametrize("ext", EXTS)
@pytest.mark.parametrize(
    "name", ["", "Täschchen", "Große Tasche für Øle", "袋" * 40, "a\rCO:  9\r", "x" * 500]
)
def test_a_name_shifts_nothing(ext: str, name: str) -> None:
    data = write(ext, name=name)
    assert same_points(TWO, data, ext)
    if ext == "dst":
        assert data[20:23] == b"ST:"
        assert data[:512].isascii()


def test_names_are_cut_where_the_header_ends() -> None:
    assert write("dst", name="Große Tasche für Øle")[:20] == b"LA:Grosse Tasche fu\r"
    pes = write("pes", name="Täsche ä")
    label = struct.unpack_from("<I", pes, 8)[0]
    assert pes[label : label + 20] == b"LA:Tasche a        \r"


@pytest.mark.parametrize(
    ("name", "length", "expected"),
    [
        ("Spoke pouch", 16, "Spoke pouch"),
        ("Spoke pouch", 8, "Spoke po"),
        ("Ärmel\tund\nTasche", 16, "ArmelundTasche"),
        ("", 16, "quilting"),
        ("\N{ZERO WIDTH SPACE}", 4, "quil"),
    ],
)
def test_ascii_names(name: str, length: int, expected: str) -> None:
    assert ascii_name(name, length) == expected


def test_the_hooping_s_number_is_never_cut_off() -> None:
    data = write_stitch_file("dst", TWO, name="Spoke pouch", at_cuts="trim", number=3)
    assert data[:20] == b"LA:Spoke pouch 3   \r"
    pes = write_stitch_file("pes", TWO, name="Spoke pouch", at_cuts="trim", number=12)
    label = struct.unpack_from("<I", pes, 8)[0]
    assert pes[label : label + 20] == b"LA:Spoke 12        \r"


def test_dst_counts_changes_of_thread() -> None:
    assert write("dst", at_cuts="stop")[31:38] == b"CO:  2\r"
    assert write("dst", at_cuts="trim")[31:38] == b"CO:  0\r"


def test_dst_cuts_with_three_small_jumps_that_come_back() -> None:
    # Three jumps are what machines take for a cut; more only cost time.
    data = write("dst", sewn_of([[(0, 0), (30, 0)], [(30, 50), (0, 50)]]))
    back = encode_dst(2, -2, jump=True)
    assert data[512:] == b"".join(
        (
            *(encode_dst(0, 0), encode_dst(30, 0)),
            *(back, encode_dst(-4, 4, jump=True), back),
            *(encode_dst(0, 50, jump=True), encode_dst(0, 0), encode_dst(-30, 0)),
            bytes.fromhex("0000F3"),
        )
    )


def test_the_pes_list_begins_with_a_jump() -> None:
    # Descriptions of the format have four bytes of header there; readers that skip them
    # would lose a stitch that began at once.
    pes = write("pes", sewn_of([[(0, 0), (30, 0)]]))
    at = struct.unpack_from("<I", pes, 8)[0] + 512 + 16
    assert pes[at : at + 9] == bytes.fromhex("90009000 0000 1E00 FF")


def test_exp_has_no_record_whose_meaning_is_in_doubt() -> None:
    data = write("exp")
    assert b"\x80\x80" not in data
    assert data.count(b"\x80\x04") >= 2


def test_jef_bytes_hold_no_clock() -> None:
    assert write("jef")[8:22] == b"20000101000000"


def test_jef_names_the_hoop_that_reaches_the_stitches() -> None:
    def header(*corners: tuple[int, int]) -> tuple[int, ...]:
        return struct.unpack_from("<21i", write("jef", sewn_of([[c] for c in corners])), 0x20)

    centred = header((-600, -400), (600, 400))
    assert centred[:5] == (3, 600, 400, 600, 400)
    assert centred[5:9] == (-1, -1, -1, -1)  # too wide for 110 by 110 mm
    assert centred[13:17] == (100, 600, 100, 600)  # room in 140 by 200 mm
    # 40 mm wide and far to the right of the hoop's centre: the smallest hoop does not do.
    assert header((300, 0), (690, 40))[:5] == (2, 0, 40, 690, 0)
    assert header((-990, 0), (10, 40))[0] == 4


@pytest.mark.parametrize(
    ("ext", "sewn", "words"),
    [
        ("jef", sewn_of([[(1000, 0)]]), "200 by 200 mm"),
        ("dst", sewn_of([[(0, 0), (122, 0)]]), "at most 12.1 mm"),
        ("exp", sewn_of([[(0, 0), (0, -128)]]), "at most 12.7 mm"),
        ("pes", sewn_of([[(0, 0), (2048, 0)]]), "at most 204.7 mm"),
        ("vp3", sewn_of([[(0, 0), (256, 0)]]), "at most 25.5 mm"),
        ("u01", sewn_of([[(0, 0), (128, 0)]]), "at most 12.7 mm"),
        ("xxx", sewn_of([[(0, 0), (124, 0)]]), "at most 12.3 mm"),
        ("gcode", sewn_of([[(0, 0), (1_000_001, 0)]]), "at most 100000 mm"),
        ("u01", sewn_of([[(0, 0)], [(32_768, 0)]]), "3276.7 mm"),
        ("xxx", sewn_of([[(0, 0)], [(32_768, 0)]]), "3276.7 mm"),
        ("dst", sewn_of([[(0, 0)], [(100_000, 0)]]), "9999.9 mm"),
        ("pes", sewn_of([[(0, 0)], [(32_768, 0)]]), "3276.7 mm"),
        ("vp3", sewn_of([[(0, 0)], [(32_768, 0)]]), "3276.7 mm"),
        ("vp3", sewn_of([[(0, 0)], [(9, 9)]], via=[[], [(9, 0)]]), "moves straight"),
    ],
)
def test_what_a_format_cannot_hold_is_refused(ext: str, sewn: Sewn, words: str) -> None:
    with pytest.raises(FormatLimit, match=words) as caught:
        write(ext, sewn)
    assert caught.value.ext == ext
    assert limit(ext, sewn, at_cuts="trim") == caught.value.reason


@pytest.mark.parametrize("ext", EXTS)
def test_just_inside_the_limits_is_written_exactly(ext: str) -> None:
    step = min(FORMATS[ext].greatest_step, 2047)
    reach = 999 if ext == "jef" else 16_000
    assert step >= STEP[ext]
    sewn = sewn_of([[(0, 0), (step, -step)], [(-reach, reach)], [(reach, -reach)]])
    assert limit(ext, sewn, at_cuts="trim") is None
    assert same_points(sewn, write(ext, sewn), ext)


@pytest.mark.parametrize(
    ("ext", "runs"),
    [
        *(("pes", 255), ("vp3", 255), ("dst", 1000), ("xxx", 21)),
        *(("jef", 1001), ("exp", 1001), ("u01", 1001), ("gcode", 1001)),
    ],
)
def test_stops_up_to_what_the_format_counts(ext: str, runs: int) -> None:
    sewn = sewn_of([[(i % 7, i % 5), (i % 7 + 9, 0)] for i in range(runs)])
    assert same_points(sewn, write(ext, sewn, at_cuts="stop"), ext)
    if ext in {"pes", "vp3", "dst", "xxx"}:
        more = sewn_of([[(0, 0)] for _ in range(runs + 1)])
        assert f"{runs} runs" in str(limit(ext, more, at_cuts="stop"))
        assert limit(ext, more, at_cuts="trim") is None


@pytest.mark.parametrize("ext", EXTS)
def test_nothing_to_sew_is_refused(ext: str) -> None:
    with pytest.raises(ExportError, match="nothing to sew"):
        write(ext, sewn_of([]))


def test_an_unknown_format_is_refused() -> None:
    with pytest.raises(ExportError, match=r'"\.abc" is no stitch format'):
        write("abc")


def test_a_long_pes_run_is_written_without_its_drawing() -> None:
    def sewn(count: int) -> Sewn:
        steps = np.arange(count)
        zero = np.zeros(count, np.int64)
        return replace(sewn_of([[(0, 0)]]), x=steps % 1000, y=steps // 1000, run=zero, kind=zero)

    short, long = write("pes", sewn(65_535)), write("pes", sewn(65_536))
    assert b"CSewSeg" in short
    assert b"CSewSeg" not in long
    assert same_points(sewn(65_536), long, "pes")


@pytest.mark.parametrize("ext", EXTS)
def test_more_needle_points_than_a_reader_takes_are_refused(ext: str) -> None:
    many = np.arange(1_000_001)
    sewn = replace(sewn_of([[(0, 0)]]), x=many % 50, y=many % 7, run=many * 0, kind=many * 0)
    assert limit(ext, sewn, at_cuts="trim") == (
        "a file has at most 1,000,000 needle points, here there are 1,000,001"
    )


def test_the_u01_header_counts_its_records() -> None:
    # EduTech wiki, "Embroidery format U??": the count times three is the length of the body.
    data = write("u01")
    (count,) = struct.unpack_from("<I", data, 0x8C)
    assert 3 * count == len(data) - 256


@pytest.mark.parametrize("ext", EXTS)
def test_no_stitch_grows_in_the_file(ext: str) -> None:
    # What is sewn stays under the machine's longest stitch only if no format joins two.
    sewn = sewn_of([[(0, 0), (70, 0), (0, 0), (69, 9)], [(300, 300), (300, 370)]])
    read = read_stitch_file(ext, write(ext, sewn))
    step = np.hypot(np.diff(read.x), np.diff(read.y))[np.diff(read.run) == 0]
    assert step.max() == 70


def test_the_thread_is_named_where_there_is_room() -> None:
    data = write_stitch_file("vp3", TWO, name="a", at_cuts="trim", thread_tex=33.3)
    assert b"33.3 tex" in data
    assert same_points(TWO, data, "vp3")

"""Readers of spoilt files in large numbers, and of the worst files of the greatest size."""

from __future__ import annotations

import struct
import tracemalloc

import numpy as np
import pytest

from loftline.errors import StitchFileError
from loftline.readers import read_stitch_file
from loftline.readers.gcode import GREATEST_PROGRAM
from loftline.readers.records import GREATEST_FILE
from loftline.writers.stitch_files import write_stitch_file
from support_stitch_files import EXTS, sewn_of

ROUNDS, ROUNDS_AT_NIGHT = 3_000, 40_000
MOST_MEMORY = 300e6
"""Bytes, beside those of the file itself."""

RUNS = [[(9 * i, 7 * i % 50) for i in range(60)], [(0, 300), (40, 300)], [(90, -70)]]
STRAIGHT, LONG = sewn_of(RUNS), sewn_of(RUNS, via=[[], [(700, 500)], []])


def spoilt(seed: bytes, rng: np.random.Generator) -> bytes:
    """Some bytes changed, a piece taken out, doubled or cut off, or nothing but noise."""
    if rng.random() < 0.1:
        return rng.bytes(int(rng.integers(0, 600)))
    data = bytearray(seed)
    for at in rng.integers(0, len(data), rng.integers(0, 9)):
        data[at] = rng.choice((0, 1, 0x7F, 0x80, 0xFE, 0xFF, int(rng.integers(0, 256))))
    start, end = np.sort(rng.integers(0, len(data) + 1, 2)).tolist()
    match rng.integers(0, 4):
        case 0:
            del data[start:end]
        case 1:
            data[end:end] = data[start:end]
        case 2:
            del data[end:]
    return bytes(data)


def fuzz(ext: str, rounds: int, seed: int) -> tuple[int, int]:
    """How many spoilt files were read, and how many refused in words."""
    rng = np.random.default_rng([seed, EXTS.index(ext)])
    sewn = STRAIGHT if ext == "vp3" else LONG
    seeds = [write_stitch_file(ext, sewn, name="f", at_cuts=cuts) for cuts in ("trim", "stop")]
    counts = [0, 0]
    for _ in range(rounds):
        says = ""
        try:
            assert len(read_stitch_file(ext, spoilt(seeds[int(rng.integers(2))], rng))) > 0
        except StitchFileError as error:
            says = str(error)
            counts[1] += 1
        else:
            counts[0] += 1
        assert "\n" not in says
        assert len(says) < 200
    return counts[0], counts[1]


@pytest.mark.parametrize("ext", EXTS)
def test_spoilt_files_are_read_or_refused_in_words(ext: str) -> None:
    read, refused = fuzz(ext, ROUNDS, seed=1)
    assert min(read, refused) > 100  # both happen, so both are looked at


@pytest.mark.nightly
@pytest.mark.parametrize("ext", EXTS)
def test_many_more_spoilt_files(ext: str) -> None:
    assert sum(fuzz(ext, ROUNDS_AT_NIGHT, seed=2)) == ROUNDS_AT_NIGHT


def filled(head: bytes, body: str, tail: str, size: int = GREATEST_FILE) -> bytes:
    """A file of the greatest size that repeats one row of records."""
    row, end = bytes.fromhex(body), bytes.fromhex(tail)
    return head + row * ((size - len(head) - len(end)) // len(row)) + end


def pes(body: str) -> bytes:
    coded = filled(bytes(800), body, "0101 FF")[800:]
    block = bytes(2) + (16 + len(coded)).to_bytes(3, "little") + bytes(11) + coded
    return b"#PES0001" + struct.pack("<I", 22) + bytes(10) + b"LA:".ljust(512) + block


def jef(body: str) -> bytes:
    coded = filled(bytes(124), body, "0101 8010")[124:]
    return struct.pack("<I20x2I", 124, 1, len(coded) // 2).ljust(124, b"\0") + coded


def u01(body: str) -> bytes:
    coded = filled(bytes(256), body, "800101 F80000")[256:]
    return b"0" * 128 + struct.pack("<12xI", len(coded) // 3).ljust(128, b"\0") + coded


def vp3(body: str) -> bytes:
    def packet(kind: int, inner: bytes) -> bytes:
        return bytes((0, kind, 0)) + struct.pack(">I", len(inner)) + inner

    coded = filled(bytes(400), body, "0101")[400:]
    thread = packet(5, bytes(26) + packet(1, bytes(3) + coded))
    hoop = packet(3, bytes(8 + 27 + 2 + 24) + struct.pack(">HH", 0, 1) + thread)
    return b"%vsm%\0\0\0" + packet(2, struct.pack(">H4iI5B", *bytes(10), 1) + hoop)


DST = b"LA:".ljust(512)
WORST = {
    "dst of stitches": ("dst", filled(DST, "010003", "0000F3")),
    "dst of jumps": ("dst", filled(DST, "010083", "010003 0000F3")),
    "dst of runs": ("dst", filled(DST, "010003 010083 010083 080083", "0000F3")),
    "exp of stitches": ("exp", filled(b"", "0101", "0101")),
    "exp of jumps": ("exp", filled(b"", "80040101", "0101")),
    "exp of runs": ("exp", filled(b"", "0101 80040101 80040909", "0101")),
    "jef of runs": ("jef", jef("0101 80020101 80020909")),
    "pes of stitches": ("pes", pes("0101")),
    "pes of jumps": ("pes", pes("900101")),
    "pes of runs": ("pes", pes("900801 900101 0101")),
    "u01 of jumps": ("u01", u01("810101")),
    "u01 of runs": ("u01", u01("800101 810101 810909")),
    "xxx of stitches": ("xxx", filled(bytes(256), "0101", "7F7F")),
    "xxx of runs": ("xxx", filled(bytes(256), "0101 7F010101 7F010909", "7F7F")),
    "vp3 of stitches": ("vp3", vp3("0101")),
    "vp3 of cuts": ("vp3", vp3("8003 0101")),
    "vp3 of long stitches": ("vp3", vp3("8001 0101 8001 8002")),
    "gcode of nothing": ("gcode", b"\n" * GREATEST_PROGRAM),
    "gcode of blanks": ("gcode", b"(\n" * (GREATEST_PROGRAM // 2)),
}


SLOW = {"xxx of stitches", "xxx of runs", "vp3 of long stitches"}
"""Read record by record."""


@pytest.mark.parametrize(
    "name", [pytest.param(n, marks=[pytest.mark.nightly] if n in SLOW else []) for n in WORST]
)
def test_the_worst_files_take_little_memory(name: str) -> None:
    ext, data = WORST[name]
    assert GREATEST_FILE * 0.99 < len(data) <= GREATEST_PROGRAM
    assert most_memory(ext, data) < MOST_MEMORY


@pytest.mark.nightly
@pytest.mark.parametrize("row", ["G0X1\nM3\nG1Y1\nX2\nM5\n"])
def test_the_worst_programs_take_little_memory(row: str) -> None:
    data = row.encode() * (GREATEST_PROGRAM // len(row))
    assert most_memory("gcode", data) < MOST_MEMORY


def most_memory(ext: str, data: bytes) -> float:
    tracemalloc.start()
    try:
        read_stitch_file(ext, data)
    except StitchFileError:
        pass
    finally:
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
    return most


def test_the_measure_of_memory_can_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    def greedy(_data: bytes) -> None:
        np.ones(50_000_000)
        raise StitchFileError("no")

    monkeypatch.setattr("loftline.readers.READERS", {"dst": greedy})
    assert most_memory("dst", b"") > MOST_MEMORY

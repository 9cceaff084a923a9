"""Second decoders of every stitch format, for tests: plain loops, byte by byte.

Written from the public descriptions alone, one record after the other, without numpy and
without a glance at :mod:`loftline.readers`; slow, and easy to check by eye.

Sources: dst: achatina.de, page DST (bit table). exp: melco.txt, H. Wiegman. jef, pec, u01,
xxx: EduTech wiki, pages "Embroidery format JEF", "PEC", "U??", "XXX"; pec also the libpes
wiki, "PEC section". vp3: KDE community wiki and EduTech wiki. gcode: the words of ISO 6983.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Callable, Iterator

from support_stitch_files import BITS

Record = tuple[str, int, int]
"""What happens ("stitch", "jump", "cut" or "wait") and the move with it, y up, tenths of a mm."""


def signed(value: int, bits: int = 8) -> int:
    return value - (1 << bits) if value >> (bits - 1) else value


def dst(data: bytes) -> Iterator[Record]:
    for at in range(512, len(data), 3):
        record = data[at : at + 3]
        if record[2] == 0xF3:
            return
        move = {"x": 0, "y": 0, "jump": 0, "colour": 0}
        for word, (byte, bit) in BITS.items():
            if record[byte] >> bit & 1:
                if word[0] in "xy":
                    move[word[0]] += int(word[1:])
                else:
                    move[word] = 1
        kind = "wait" if move["colour"] else "jump" if move["jump"] else "stitch"
        yield kind, move["x"], move["y"]


def exp(data: bytes) -> Iterator[Record]:
    at = 0
    while at < len(data):
        kind = "stitch"
        if data[at] == 0x80:
            kind = {0x01: "wait", 0x02: "jump", 0x04: "jump"}[data[at + 1]]
            at += 2
        yield kind, signed(data[at]), signed(data[at + 1])
        at += 2


def jef(data: bytes) -> Iterator[Record]:
    at = int.from_bytes(data[0:4], "little")
    while True:
        kind = "stitch"
        if data[at] == 0x80:
            if data[at + 1] == 0x10:
                return
            kind = {0x01: "wait", 0x02: "jump"}[data[at + 1]]
            at += 2
        yield kind, signed(data[at]), signed(data[at + 1])
        at += 2


def pes(data: bytes) -> Iterator[Record]:
    at = int.from_bytes(data[8:12], "little") + 512 + 16
    while data[at] != 0xFF:
        if data[at : at + 2] == b"\xfe\xb0":
            yield "wait", 0, 0
            at += 3
            continue
        kind, move = "stitch", []
        for _ in "xy":
            if data[at] & 0x80:
                if data[at] & 0x30:
                    kind = "jump"
                move.append(signed((data[at] & 0x0F) << 8 | data[at + 1], 12))
                at += 2
            else:
                move.append(signed(data[at], 7))
                at += 1
        yield kind, move[0], -move[1]


def u01(data: bytes) -> Iterator[Record]:
    for at in range(256, len(data), 3):
        command, along, across = data[at : at + 3]
        code = command & 0x1F
        if code == 24:
            return
        kind = "stitch" if code in {0, 2, 4} else "jump" if code in {1, 3, 5} else "cut"
        if code == 8:
            kind = "wait"
        if 9 <= code <= 23:
            kind = "needle"  # which of several needles sews: the first record says so
        yield kind, -across if command & 0x20 else across, -along if command & 0x40 else along


def xxx(data: bytes) -> Iterator[Record]:
    at = 256
    while True:
        first = data[at]
        if first in {0x7D, 0x7E}:
            yield ("stitch", *struct.unpack_from("<2h", data, at + 1))
            at += 5
        elif first == 0x7F:
            code = data[at + 1]
            if code in {0x7F, 0x18}:
                return
            kind = {1: "jump", 3: "cut", 8: "wait"}[code]
            yield kind, signed(data[at + 2]), signed(data[at + 3])
            at += 4
        else:
            yield "stitch", signed(first), signed(data[at + 1])
            at += 2


def vp3(data: bytes) -> Iterator[Record]:
    """Packets are found by walking; a thread's place counts from its hoop's centre."""
    here = (0, 0)
    for number, (start, body) in enumerate(vp3_threads(data)):
        yield "wait" if number else "jump", start[0] - here[0], start[1] - here[1]
        (x, y), at = start, 0
        while at < len(body):
            if body[at : at + 2] == b"\x80\x01":
                dx, dy = struct.unpack_from(">2h", body, at + 2)
                at += 8
            elif body[at : at + 2] == b"\x80\x03":
                yield "cut", 0, 0
                at += 2
                continue
            else:
                dx, dy = signed(body[at]), signed(body[at + 1])
                at += 2
            x, y = x + dx, y - dy
            yield "stitch", dx, -dy
        here = (x, y)


def vp3_threads(data: bytes) -> Iterator[tuple[tuple[int, int], bytes]]:
    def text(at: int) -> int:
        return at + 2 + int.from_bytes(data[at : at + 2], "big")

    at = text(6) + 7
    at = text(at) + 4 * 4 + 4 + 5
    hoops = data[at - 1]
    for _ in range(hoops):
        centre = struct.unpack_from(">2i", data, at + 7)
        at = text(at + 7 + 8 + 3 + 24)
        at = text(at + 2 + 16 + 6)
        (count,) = struct.unpack_from(">H", data, at)
        at += 2
        for _ in range(count):
            (length,) = struct.unpack_from(">I", data, at + 3)
            end, at = at + 7 + length, at + 7
            offset = struct.unpack_from(">2i", data, at)
            at += 8
            at += 2 + 6 * data[at] + 2
            for _ in range(3):
                at = text(at)
            at += 8
            (length,) = struct.unpack_from(">I", data, at + 3)
            place = [(c + o) // 100 for c, o in zip(centre, offset, strict=True)]
            yield (place[0], place[1]), data[at + 7 + 3 : at + 7 + length]
            at = end


def gcode(data: bytes) -> Iterator[Record]:
    x = y = 0
    sews = False
    for line in data.decode("ascii").splitlines():
        words = re.sub(r"\(.*?\)", "", line).split()
        if not words:
            continue
        if words[0] in {"M3", "M5", "M0"}:
            if words[0] == "M3":
                yield "stitch", 0, 0
            else:
                yield "wait" if words[0] == "M0" else "cut", 0, 0
            sews = words[0] == "M3"
        if words[0] in {"G0", "G1"}:
            place = {word[0]: round(float(word[1:]) * 10) for word in words[1:]}
            assert sews == (words[0] == "G1"), line
            yield "stitch" if sews else "jump", place["X"] - x, place["Y"] - y
            x, y = place["X"], place["Y"]


DECODERS: dict[str, Callable[[bytes], Iterator[Record]]] = {
    "dst": dst,
    "exp": exp,
    "jef": jef,
    "pes": pes,
    "vp3": vp3,
    "u01": u01,
    "xxx": xxx,
    "gcode": gcode,
}


def decode(ext: str, data: bytes) -> tuple[list[tuple[int, int]], list[int], list[int]]:
    """Needle points, and which of them stand behind a cut or jump, and behind a wait."""
    points: list[tuple[int, int]] = []
    cuts: list[int] = []
    waits: list[int] = []
    x = y = jumps = 0
    for kind, dx, dy in DECODERS[ext](data):
        x, y = x + dx, y + dy
        if kind == "stitch":
            if points and jumps >= (3 if ext == "dst" else 1):
                cuts.append(len(points))
            points.append((x, y))
            jumps = 0
        elif kind == "wait":
            waits.append(len(points))
        jumps += 3 if kind in {"cut", "wait"} else kind == "jump"
    return points, cuts, waits

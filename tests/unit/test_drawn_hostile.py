"""Drawings nobody means well with: one sentence within 2 seconds and 300 MB."""

from __future__ import annotations

import gzip
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from loftline.project.drawn import Refusal, Wanted, read_drawing
from support_drawings import SQUARE, dxf, polygon, polyline, svg

BOX = polygon(SQUARE)
LAUGHS = "".join(f'<!ENTITY l{i} "' + f"&l{i - 1};" * 10 + '">' for i in range(1, 12))
USES = '<g id="u0"><rect width="9" height="9"/></g>' + "".join(
    f'<g id="u{i}">' + f'<use href="#u{i - 1}"/>' * 10 + "</g>" for i in range(1, 9)
)
EMPTY_USES = USES.replace('<rect width="9" height="9"/>', "")
DEEP = 9_000
BLOCKS = "0 BLOCK\n2 B0\n70 0\n10 0\n20 0\n" + polyline(SQUARE) + "0 ENDBLK\n"
BLOCKS += "".join(
    f"0 BLOCK\n2 B{i}\n70 0\n10 0\n20 0\n"
    + f"0 INSERT\n8 0\n2 B{i - 1}\n10 0\n20 0\n" * 10
    + "0 ENDBLK\n"
    for i in range(1, 9)
)
SELF = "0 BLOCK\n2 B\n70 0\n10 0\n20 0\n0 INSERT\n8 0\n2 B\n10 0\n20 0\n0 ENDBLK\n"
INSERT = "0 INSERT\n8 0\n2 {name}\n10 0\n20 0\n"
MANY = "0 INSERT\n8 0\n2 B0\n10 0\n20 0\n70 30000\n71 30000\n44 1\n45 1\n"
SPIKES = [(i % 2 * 50.0 + i / 1e4, i / 1e3) for i in range(30_000)]
STAR = [(x * 99.0 % 61, x * 57.0 % 83) for x in range(3000)]
SPLINE = "0 SPLINE\n100 AcDbEntity\n8 0\n100 AcDbSpline\n70 8\n71 3\n72 8\n73 4\n"
SPLINE += "".join(f"40 {k}\n" for k in (0, 0, 0, 0, 1, 1, 1, 1))
NESTED = "".join(
    f'<rect x="{i / 100}" y="{i / 100}" width="{280 - i / 50}" height="{280 - i / 50}"/>'
    for i in range(6000)
)
LARGE_STAR = [(x * 99.0 % 61, x * 57.0 % 83) for x in range(20_000)]
HATCH = [(i / 100, i % 2 * 250.0) for i in range(9000)]
HATCH += [(i % 2 * 250.0, i / 100) for i in range(9000)]
CHAIN = "".join(f'<g id="c{i}"><use href="#c{i - 1}"/></g>' for i in range(1, 80))
LOOSE = "".join(f'<path d="M{i % 7} {i % 5}h.1"/>' for i in range(9_900))

SVG = {
    "entity bomb": f'<!DOCTYPE svg [<!ENTITY l0 "ha">{LAUGHS}]>'.encode() + svg("&l11;"),
    "entity of a file": b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>' + svg("&a;"),
    "outer document type": b'<!DOCTYPE svg SYSTEM "http://a/b.dtd" [<!ENTITY % a SYSTEM "c">%a;]>'
    + svg(BOX),
    "tree of uses": svg(USES + '<use href="#u8"/>'),
    "tree of uses of nothing": svg(EMPTY_USES + '<use href="#u8"/>'),
    "a use of itself": svg('<use id="a" href="#a"/>'),
    "a use of what is around it": svg('<g id="a"><use href="#a"/></g>'),
    "deep groups": svg("<g>" * DEEP + BOX + "</g>" * DEEP),
    "deep and never closed": svg("<g>" * 19_000)[:-6],
    "many elements": svg("<g/>" * 400_000),
    "many shapes": svg('<rect width="1" height="1"/>' * 9_900),
    "nothing": b"",
    "half a file": svg(BOX * 3)[:150],
    "zeros": b"\0" * 1000,
    "half of another encoding": svg(BOX).decode().encode("utf-16")[:-31],
    "no such encoding": b'<?xml version="1.0" encoding="klingon"?>' + svg(BOX),
    "broken letters": svg(BOX).replace(b"points", b"p\xffints"),
    "too long": svg(" " * 5_000_000),
    "huge": svg('<rect width="1e8" height="1e8"/>'),
    "huge and curved": svg('<circle r="9e8" cx="0" cy="0"/>'),
    "not a number": svg('<rect width="NaN" height="9"/>'),
    "infinite": svg('<path d="M0 0 inf 9z"/>'),
    "beyond all numbers": svg('<path d="M0 0 1e999 9 5 5z"/>'),
    "stretched": svg(f'<g transform="scale(1e9)"><g transform="scale(1e9)">{BOX}</g></g>'),
    "no page": svg(BOX, 'viewBox="0 0 0 0"'),
    "a page of no size": svg(BOX, 'width="0" height="0" viewBox="0 0 9 9"'),
    "many spikes": svg(polygon(SPIKES)),
    "many crossings": svg(polygon(STAR)),
    "many dots": svg(LOOSE),
    "a long path that cannot be read": svg(f'<path d="{"M" + "1 " * 900_000}x"/>'),
    "a long path": svg(f'<path d="M0 0{"h1e-5" * 700_000}"/>'),
    "long numbers": svg(f'<path d="M0 0 {"1" * 3_000_000} 5z"/>'),
    "long transform": svg(f'<g transform="{"scale(1)" * 400_000}">{BOX}</g>'),
    "many transforms": svg(f'<rect transform="{"scale(1)" * 1200}"/>' * 300),
    "many styles": svg(f'<rect style="{"a:b;" * 9000}" width="9"/>' * 100),
    "packed": gzip.compress(svg(BOX)),
    "a zero among the letters": svg(BOX).replace(b"points", b"poi\0nts"),
    "no drawing at all": b"%PDF-1.4 and so on",
    "a web page": b"<html><body>gone</body></html>",
    "closed a million times": svg(f'<path d="M0 0{"z" * 1_000_000}"/>'),
    "closed and gone on": svg(f'<path d="M0 0{"h2v2z" * 30_000}"/>'),
    "a million commands": svg(f'<path d="M0 0{"h1v1" * 500_000}"/>'),
    "a million moves": svg(f'<path d="{"M" * 1_000_000}"/>'),
    "boxes in boxes": svg(NESTED),
    "a large star": svg(polygon(LARGE_STAR)),
    "a hatching in one line": svg(polygon(HATCH)),
    "a chain of uses": svg(f'<defs><g id="c0">{BOX}</g>{CHAIN}</defs><use href="#c79"/>'),
    "a page turned inside out": svg(BOX, 'width="-9mm" height="9mm" viewBox="0 0 9 9"'),
    "a view box turned inside out": svg(BOX, 'width="9mm" height="9mm" viewBox="0 0 -9 9"'),
    "a page that is not a number": svg(BOX, 'width="NaNmm" height="9mm"'),
    "an unknown unit": svg(BOX, 'width="30km" height="30km" viewBox="0 0 300 300"'),
    "scaled to nothing": svg(f'<g transform="scale(0)">{BOX}</g>'),
    "scaled to a line": svg(f'<g transform="scale(0 1)">{BOX}</g>'),
    "a strip of no width": svg('<rect width="200" height="0.001"/>'),
    "control points beyond all numbers": svg('<path d="M0 0C1e300 -1e300 1e308 5 9 9z"/>'),
    "many curves": svg('<path d="M0 0' + "C0 5000 5000 5000 5000 0" * 20_000 + 'z"/>'),
}
DXF = {
    "tree of blocks": dxf(INSERT.format(name="B8"), blocks=BLOCKS),
    "a block of itself": dxf(INSERT.format(name="B"), blocks=SELF),
    "an endless row of blocks": dxf(MANY, blocks=BLOCKS),
    "half a file": dxf(polyline(SQUARE))[:-9],
    "half a file with an end": dxf(polyline(SQUARE))[:120] + b"\n0\nEOF\n",
    "no unit": dxf(polyline(SQUARE), insunits=0),
    "light years": dxf(polyline(SQUARE), insunits=19),
    "not a number": dxf(polyline([(0, 0), (float("nan"), 5), (9, 9)])),
    "infinite": dxf(polyline([(0, 0), (float("inf"), 5), (9, 9)])),
    "huge": dxf(polyline([(0, 0), (1e300, 5), (9, 1e300)])),
    "huge bulge": dxf(polyline([(0, 0), (9, 5), (9, 9)], bulges={1: 1e300})),
    "huge circle": dxf("0 CIRCLE\n8 0\n10 0\n20 0\n40 1e9\n"),
    "odd ellipse": dxf("0 ELLIPSE\n8 0\n10 0\n20 0\n11 0\n21 0\n40 0\n41 0\n42 1e300\n"),
    "odd spline": dxf(SPLINE + "10 0\n20 0\n" * 4),
    "huge spline": dxf(SPLINE + "10 1e12\n20 -1e12\n10 0\n20 0\n" * 2),
    "spline that is not a number": dxf(SPLINE + "10 nan\n20 0\n" * 4),
    "many entities": dxf("0 POINT\n8 0\n10 0\n20 0\n" * 30_000),
    "many spikes": dxf(polyline(SPIKES)),
    "no numbers": dxf("0 LINE\n8 0\n10 one\n20 two\n"),
    "zeros": b"0\nSECTION\n" + b"\0" * 1000,
    "too long": dxf("999 x\n" * 900_000),
    "other signs": "0\nSECTION\n2\nENTITIES\n0\nLÍNE\n0\nEOF\n".encode("utf-16"),
    "no sections": b"SECTION\n" * 100_000 + b"EOF",
    "packed": gzip.compress(dxf(polyline(SQUARE))),
    "another format": b"AC1032\0\0\0\0",
    "lines that end in returns": dxf("0 POINT\n" * 300_000).replace(b"\n", b"\r"),
    "blocks of no size": dxf("0 INSERT\n8 0\n2 B0\n10 0\n20 0\n41 0\n42 0\n", blocks=BLOCKS),
    "a block nowhere": dxf("0 INSERT\n8 0\n2 B0\n10 nan\n20 0\n", blocks=BLOCKS),
    "a plane of no direction": dxf("0 CIRCLE\n8 0\n10 0\n20 0\n40 9\n210 0\n220 0\n230 0\n"),
    "rows of nothing": dxf(
        "0 INSERT\n8 0\n2 E\n10 0\n20 0\n70 90\n71 90\n44 1\n45 1\n" * 9000,
        blocks="0 BLOCK\n2 E\n70 0\n10 0\n20 0\n0 ENDBLK\n",
    ),
    "a handle many times": dxf("0 LINE\n5 A\n8 0\n10 0\n20 0\n11 9\n21 9\n" * 1000),
}
WATCH = """
import json, resource, sys, time
from pathlib import Path
from loftline.errors import ProjectError
from loftline.project import parse_project, read_project
resource.setrlimit(resource.RLIMIT_AS, (3 << 30, 3 << 30))
answers = {}
for path in sorted(Path(sys.argv[1]).iterdir()):
    panel = {"shape": "file", "file": path.name}
    start = time.process_time()
    try:
        parse_project(
            {"panel": panel, "fills": [{"pattern": "grid"}]}, files={path.name: path.read_bytes()}
        )
        says = ""
    except ProjectError as error:
        says = str(error)
    answers[path.stem] = [says, time.process_time() - start]
# not ru_maxrss, which begins with what the parent had
status = Path("/proc/self/status").read_text()
peak = int(status.split("VmHWM:")[1].split()[0])
print(json.dumps({"answers": answers, "peak": peak}))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="no limits of this kind there")
@pytest.mark.parametrize(("ending", "cases"), [("svg", SVG), ("dxf", DXF)])
def test_one_sentence_in_good_time_and_little_room(
    tmp_path: Path, ending: str, cases: dict[str, bytes]
) -> None:
    for name, data in cases.items():
        (tmp_path / f"{name}.{ending}").write_bytes(data)
    done = subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-W", "error", "-c", WATCH, str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert done.stderr == ""
    told = json.loads(done.stdout)
    assert sorted(told["answers"]) == sorted(cases)
    for name, (says, seconds) in told["answers"].items():
        assert says.startswith("panel."), (name, says)
        assert says.isprintable(), name
        assert len(says) < 300, name
        assert seconds < 2, name
    assert told["peak"] < 300_000  # kilobytes


@pytest.mark.parametrize(
    "data",
    [
        svg('<style>@import url("http://a/b.css"); .x{display:none}</style>' + BOX),
        b'<?xml-stylesheet href="http://a/b.css"?>' + svg(BOX),
        svg(
            '<x:include xmlns:x="http://www.w3.org/2001/XInclude" href="file:///etc/passwd"/>' + BOX
        ),
        svg('<use href="http://a/b.svg#c"/><image href="file:///etc/passwd"/>' + BOX),
        svg("<!--" + "x" * 3_000_000 + "-->" + BOX),
        svg(f'<g id="{"x" * 2_000_000}">{BOX}</g>'),
        svg(BOX).decode().encode("utf-16"),
        b"\xef\xbb\xbf" + svg(BOX),
    ],
)
def test_what_is_only_odd_is_read_without_looking_elsewhere(data: bytes) -> None:
    drawing = read_drawing("a.svg", data, Wanted())
    width, height = drawing.outline.bounds[2:]
    assert width / height == pytest.approx(10 / 7)


def broken(data: bytes, rng: np.random.Generator) -> bytes:
    """A drawing with some of its bytes changed, doubled, left out or cut off."""
    out = bytearray(data)
    words = (b"NaN", b"1e999", b"-", b"0", b'"', b"z", b"<g>", b"\n", b"inf ", b"EOF\n")
    for _ in range(int(rng.choice((1, 1, 2, 5)))):
        here, there = (int(place) for place in rng.integers(len(out), size=2))
        word = words[int(rng.integers(len(words)))]
        match int(rng.integers(6)):
            case 0:
                out[here] = int(rng.integers(256))
            case 1:
                del out[here : here + int(rng.choice((1, 3, 20)))]
            case 2:
                out[here:here] = word
            case 3:
                out[here:here] = out[there : there + int(rng.choice((5, 30, 200)))]
            case 4:
                out[here : here + len(word)] = word
            case _:
                del out[max(here, len(out) // 2) :]
        out = out or bytearray(b"?")
    return bytes(out)


SOUND = {
    "svg": svg(
        f'<defs><symbol id="s" viewBox="0 0 150 150">{BOX}</symbol></defs>'
        '<g id="cut" transform="rotate(10) scale(1.1 .9)">'
        '<path d="M10 10h80v60c-20 20-60-20-80 0z"/><path d="M30 30q5 9 10 0t10 0v9s-5 6-20 0z"/>'
        '<ellipse cx="70" cy="30" rx="6" ry="4"/></g>'
        '<use href="#s" x="200" y="5" width="90" height="90"/><line x2="9" style="fill:none"/>'
    ),
    "dxf": dxf(
        polyline(SQUARE, "CUT", bulges={1: 0.4}) + "0 INSERT\n8 0\n2 B1\n10 300\n20 0\n",
        blocks=BLOCKS.partition("0 BLOCK\n2 B2")[0],
    ),
}


def answer(name: str, data: bytes) -> str:
    """What is said of a drawing, whether it is read or refused."""
    try:
        return read_drawing(name, data, Wanted()).found
    except Refusal as refusal:
        return f"refused: {refusal.says}"


@pytest.mark.parametrize("kind", sorted(SOUND))
@pytest.mark.parametrize(
    "count", [150, pytest.param(5000, marks=pytest.mark.nightly)], ids=["few", "many"]
)
def test_broken_drawings_are_read_or_refused_in_words(kind: str, count: int) -> None:
    rng = np.random.default_rng(5)
    assert "holds an outline" in answer(f"a.{kind}", SOUND[kind])
    answers = [answer(f"a.{kind}", broken(SOUND[kind], rng)) for _ in range(count)]
    assert [says for says in answers if not says.isprintable() or len(says) > 400] == []
    refused = sum(says.startswith("refused: ") for says in answers)
    assert 0 < refused < count

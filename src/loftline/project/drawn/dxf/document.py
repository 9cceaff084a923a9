"""The document of a DXF drawing, behind guards, and the unit it is drawn in."""

from __future__ import annotations

import io
import logging
from typing import Final

from ezdxf import recover
from ezdxf.document import Drawing as Document
from ezdxf.filemanagement import dxf_stream_info, read

from loftline.project.drawn.drawing import DrawnUnit, Refusal
from loftline.project.drawn.limits import MOST_LINES

_UNIT_MM: Final = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 10: 914.4, 14: 100.0}
_UNIT_WORDS: Final = {
    1: "inches",
    2: "feet",
    4: "mm",
    5: "cm",
    6: "metres",
    10: "yards",
    14: "decimetres",
}
_GIVEN_MM: Final = {"mm": 1.0, "cm": 10.0, "in": 25.4}

# What the library would say on the error stream is said here in words.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())


def document_of(data: bytes) -> Document:
    """The document.

    Raises:
        Refusal: with one sentence.
    """
    if data[:2] == b"\x1f\x8b":
        raise Refusal("file", "the drawing is packed; unpack it")
    if data[:2] == b"AC" and b"SECTION" not in data:
        raise Refusal("file", "the drawing is a DWG file; save it as text (ASCII) DXF")
    if b"\0" in data:
        raise Refusal("file", "the drawing is a binary DXF file; save it as text (ASCII) DXF")
    if max(data.count(b"\n"), data.count(b"\r")) > MOST_LINES:
        raise Refusal("file", f"the drawing has more than {MOST_LINES} lines of text; simplify it")
    if b"SECTION" not in data[:10_000]:
        raise Refusal("file", "the file is no DXF drawing")
    if not data.rstrip().endswith(b"EOF"):
        raise Refusal("file", "the drawing breaks off before its end; save it again")
    plain = data.decode("latin-1")
    try:
        encoding = dxf_stream_info(io.StringIO(plain)).encoding
        text = data.decode(encoding, errors="surrogateescape")
    except Exception:  # noqa: BLE001 - no header, or none that can be read: any encoding will do
        text = plain
    try:
        document = read(io.StringIO(text.replace("\r\n", "\n").replace("\r", "\n")))
        document.modelspace()  # may be missing
    except Exception:  # noqa: BLE001 - the library raises many kinds, all mean this
        return _mended(data)
    return document


def _mended(data: bytes) -> Document:
    """Simple programs write files that break the rules but hold all their lines."""
    try:
        document, _ = recover.read(io.BytesIO(data))
        if len(document.modelspace()):
            return document
    except Exception:  # noqa: BLE001, S110 - told below
        pass
    raise Refusal("file", "the drawing is no DXF file that can be read; save it again")


def unit_of(document: Document, unit: DrawnUnit | None) -> tuple[float, str]:
    """Millimetres of one unit, and where that comes from as the rest of a sentence.

    Raises:
        Refusal: the file names no unit, and none is given.
    """
    if unit is not None:
        return _GIVEN_MM[unit], f"one unit of the drawing is 1 {unit}, as the project file says"
    try:
        code = int(document.header.get("$INSUNITS", 0))
    except (TypeError, ValueError):
        code = 0
    if code in _UNIT_MM:
        return _UNIT_MM[code], f"sizes in {_UNIT_WORDS[code]}, as the file says"
    names = "names no unit" if code == 0 else "is in a unit that no bag is drawn in"
    raise Refusal("unit", f'is missing; the drawing {names}: add unit = "mm", "cm" or "in"')

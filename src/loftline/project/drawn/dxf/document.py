"""The document of a DXF drawing, and the unit it is drawn in."""

from __future__ import annotations

import io
import logging
from typing import Final

from ezdxf import recover
from ezdxf.document import Drawing as Document
from ezdxf.filemanagement import dxf_stream_info, read

from loftline.project.drawn.drawing import DrawnUnit, Refusal

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
    """The document of bytes that have passed the guards.

    Raises:
        Refusal: with one sentence.
    """
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

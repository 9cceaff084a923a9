"""What is refused by its bytes alone, before the library that reads DXF is loaded."""

from __future__ import annotations

from loftline.project.drawn.drawing import Refusal
from loftline.project.drawn.limits import MOST_LINES


def guard(data: bytes) -> None:
    """Let pass what may be a text DXF drawing of a size that is read.

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

"""The tree of an SVG drawing, behind guards: nothing is fetched, nothing unfolds."""

from __future__ import annotations

import re
from typing import Final
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring

from loftline.project.drawn.drawing import Refusal
from loftline.project.drawn.limits import MOST_ELEMENTS

# A document type that only names the standard declares nothing.
_DOCTYPE: Final = re.compile(
    rb"<!DOCTYPE\s+svg(?:\s+(?:PUBLIC|SYSTEM)(?:\s+(?:\"[^\"\[<>]*\"|'[^'\[<>]*'))*)?\s*>"
)


def tree(data: bytes) -> Element:
    """The root of the drawing.

    Raises:
        Refusal: with one sentence.
    """
    if data[:2] == b"\x1f\x8b":
        raise Refusal("file", "the drawing is packed (SVGZ); save it as plain SVG")
    if b"svg" not in data.replace(b"\0", b""):
        raise Refusal("file", "the file is no SVG drawing")
    if data.count(b"<") > 2 * MOST_ELEMENTS:
        raise Refusal("file", f"the drawing has more than {MOST_ELEMENTS} elements")
    try:
        root: Element = fromstring(_DOCTYPE.sub(b"", data, count=1), forbid_dtd=True)
    except DefusedXmlException:
        raise Refusal(
            "file", "the drawing declares a document type of its own; save it as plain SVG"
        ) from None
    except ParseError as error:
        line = error.position[0]
        raise Refusal(
            "file", f"the drawing is not whole XML (line {line}); save it again"
        ) from None
    except (ValueError, LookupError):
        raise Refusal(
            "file", "the drawing is in no encoding that is read; save it as UTF-8"
        ) from None
    return root

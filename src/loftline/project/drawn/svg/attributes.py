"""What an element of an SVG drawing is called, and whether it is seen."""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element

from loftline.project.drawn.names import clean
from loftline.units import show


def tag_of(element: Element) -> str:
    """Name without its namespace; empty for what belongs to no drawing."""
    tag: object = element.tag
    if not isinstance(tag, str):  # a comment
        return ""
    space, _, name = tag.rpartition("}")
    return name if space in {"", "{http://www.w3.org/2000/svg"} else ""


def names(element: Element) -> tuple[str, ...]:
    """What an element is called: its label first, then its id."""
    labels = [
        v for k, v in element.attrib.items() if k.rpartition("}")[2] in {"label", "data-name"}
    ]
    found = (clean(name) for name in (*labels, element.get("id", "")))
    return tuple(dict.fromkeys(name for name in found if name))


def called(element: Element) -> str:
    """The element in a sentence about it."""
    own = names(element)
    tag = element.tag.rpartition("}")[2]
    return f"{tag} {show(own[0])}" if own else f"a {tag} of the drawing"


def link(element: Element) -> str:
    """Where a link leads; empty when it has none."""
    links = [v for k, v in element.attrib.items() if k.rpartition("}")[2] == "href"]
    return links[0].strip() if links else ""


def hidden(element: Element) -> bool:
    """Whether it says of itself that it is not seen."""
    style = dict(
        re.findall(r"(?:^|;)\s*([a-z-]{1,20})\s*:\s*([a-z]{1,20})", element.get("style", "")[:2000])
    )
    display = style.get("display", element.get("display"))
    visible = style.get("visibility", element.get("visibility"))
    return display == "none" or visible in {"hidden", "collapse"}

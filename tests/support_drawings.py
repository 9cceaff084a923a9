"""Drawings for tests: SVG and DXF text made by hand, sharing nothing with the reader."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from loftline.project import Project, parse_project
from loftline.project.drawn import Drawing, Wanted, read_drawing

Points = Sequence[Sequence[float]]


def svg(body: str, head: str = 'width="300mm" height="300mm" viewBox="0 0 300 300"') -> bytes:
    """An SVG drawing; by default its units are mm."""
    names = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    return f'<svg {names} xmlns:n="urn:names" {head}>{body}</svg>'.encode()


def polygon(points: Points, more: str = "") -> str:
    """An SVG polygon."""
    text = " ".join(f"{x!r},{y!r}" for x, y in points)
    return f'<polygon {more} points="{text}"/>'


def dxf(entities: str, *, insunits: int = 4, blocks: str = "") -> bytes:
    """A DXF drawing of the oldest kind still written, tags as lines of ``code value``."""
    tags = ["0 SECTION", "2 HEADER", "9 $ACADVER", "1 AC1009", "9 $INSUNITS", f"70 {insunits}"]
    tags += ["0 ENDSEC"]
    if blocks:
        tags += ["0 SECTION", "2 BLOCKS", *blocks.strip().split("\n"), "0 ENDSEC"]
    tags += [
        "0 SECTION",
        "2 ENTITIES",
        *filter(None, entities.strip().split("\n")),
        "0 ENDSEC",
        "0 EOF",
    ]
    pairs = [tag.strip().split(" ", 1) for tag in tags]
    return "".join(f"{code}\n{value}\n" for code, value in pairs).encode()


def polyline(
    points: Points,
    layer: str = "0",
    *,
    closed: bool = True,
    bulges: Mapping[int, float] | None = None,
) -> str:
    """A DXF polyline; bulges by number of the corner."""
    tags = ["0 POLYLINE", f"8 {layer}", "66 1", f"70 {int(closed)}"]
    for i, (x, y) in enumerate(points):
        tags += ["0 VERTEX", f"8 {layer}", f"10 {x!r}", f"20 {y!r}"]
        tags += [f"42 {bulges[i]!r}"] if bulges and i in bulges else []
    return "\n".join([*tags, "0 SEQEND"]) + "\n"


def line(start: Sequence[float], end: Sequence[float], layer: str = "0") -> str:
    """A DXF line."""
    (x0, y0), (x1, y1) = start, end
    return f"0 LINE\n8 {layer}\n10 {x0!r}\n20 {y0!r}\n11 {x1!r}\n21 {y1!r}\n"


def read(data: bytes, **wanted: Any) -> Drawing:  # noqa: ANN401 - keys of the table
    """Read a drawing; the kind is seen from its first sign."""
    name = "panel.svg" if data.lstrip()[:1] == b"<" else "panel.dxf"
    return read_drawing(name, data, Wanted(**wanted))


def project(
    data: bytes,
    drawn: Mapping[str, Any] | None = None,
    panel: Mapping[str, Any] | None = None,
    **more: Any,  # noqa: ANN401 - keys of the file
) -> Project:
    """A project of a drawing."""
    name = "panel.svg" if data.lstrip()[:1] == b"<" else "panel.dxf"
    table = {"shape": "file", "file": name, "overhang": 20, **(panel or {})}
    table |= {"drawn": drawn} if drawn else {}
    document = {"panel": table, "fills": [{"pattern": "grid", "spacing": 15}], **more}
    return parse_project(document, files={name: data})


SQUARE = [(10.0, 20.0), (110.0, 20.0), (110.0, 90.0), (10.0, 90.0)]
WRITERS: Mapping[str, Callable[[Points], bytes]] = {
    "svg": lambda points: svg(polygon(points)),
    "dxf": lambda points: dxf(polyline(points)),
}

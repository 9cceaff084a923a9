"""Motifs for tests: our own files, and small drawings made by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

import numpy as np
import shapely
from defusedxml.ElementTree import fromstring
from shapely import LineString

from loftline.errors import does_nothing
from loftline.fills.fill_lines import FillLines
from loftline.fills.motif import motif
from loftline.geometry import circle, only_polygons
from loftline.project import FillSpec, motif_names
from loftline.project.motif_reading import read_motif
from loftline.project.motif_tile import Motif
from loftline.values import Area, Field

FILES = Path(__file__).parent.parent / "motifs"
NAMES = motif_names()
SVG = "{http://www.w3.org/2000/svg}"

BOX = shapely.box(0, 0, 150, 120)
HOLED = only_polygons(
    BOX.difference(shapely.union(circle((50, 60), 34), shapely.box(95, 30, 118, 74)))
)


def drawing(name: str) -> Element:
    """One of our files, read without our reader."""
    root: Element = fromstring((FILES / f"{name.replace(' ', '-')}.svg").read_bytes())
    return root


def paths(name: str) -> list[str]:
    """The paths of one of our files."""
    return [path.get("d", "") for path in drawing(name).iter(f"{SVG}path")]


def own(body: str, more: str = "", *, box: str = "0 0 24 24", size: str = "24mm") -> bytes:
    """A motif of a maker's own, by default with a tile of 24 by 24 mm."""
    head = f'width="{size}" height="{size}" viewBox="{box}" {more}'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>'.encode()


def path(d: str) -> str:
    """A path of a drawing."""
    return f'<path d="{d}"/>'


def read(data: bytes, size: float | None = None) -> Motif:
    """A motif from its bytes."""
    return read_motif("own.svg", data, size)


def field_of(region: Area, outline: Area = BOX) -> Field:
    """A field over a region."""
    x0, y0, x1, y1 = outline.bounds
    centre = ((x0 + x1) / 2, (y0 + y1) / 2)
    return Field(index=0, part="all", region=region, outline=outline, centre=centre)


def laid(
    name: str,
    region: Area = HOLED,
    outline: Area = BOX,
    **keys: Any,  # noqa: ANN401 - keys
) -> FillLines:
    """A motif over a region."""
    spec = FillSpec.model_validate({"pattern": "motif", "motif": name} | keys)
    return motif(field_of(region, outline), spec, 0, "full", does_nothing)


def total(lines: FillLines) -> float:
    """Length of all lines, mm."""
    return float(sum(np.hypot(*np.diff(curve, axis=0).T).sum() for curve in lines.curves))


def strings(lines: FillLines) -> list[LineString]:
    """The lines as shapes."""
    return [LineString(curve) for curve in lines.curves]

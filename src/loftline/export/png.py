"""A picture as png, for programs that show no svg; by a library that need not be there."""

from __future__ import annotations

from importlib import import_module
from typing import Any

WIDTH = 1600
"""Dots across."""

_FAMILIES = ("DejaVu Sans", "Arial", "Helvetica", "Liberation Sans", "Noto Sans", "Segoe UI")
"""Fonts that systems bring along; the first that is there is taken."""

_TRIAL = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="20" height="10">'
    '<text y="9" font-size="9" font-family="sans-serif">{}</text></svg>'
)


class NoPngError(Exception):
    """No png can be drawn here; the message is the rest of a sentence."""


def as_png(svg: str) -> bytes:
    """Draw an svg picture as png, :data:`WIDTH` dots wide.

    Letters are drawn with the fonts of this system, so the bytes may differ from one computer
    to the next.

    Raises:
        NoPngError: where the library is not installed, or no font is found.
    """
    try:
        drawer: Any = import_module("resvg_py")
    except ImportError:
        raise NoPngError("the library resvg-py is not installed") from None
    return _drawn(drawer, svg, _font(drawer), WIDTH)


def _font(drawer: Any) -> str:  # noqa: ANN401 - a library that may not be there
    """A family that letters appear in: the library leaves them out in silence otherwise."""
    for family in _FAMILIES:
        if _drawn(drawer, _TRIAL.format("M"), family, 20) != _drawn(
            drawer, _TRIAL.format(""), family, 20
        ):
            return family
    raise NoPngError("no font was found on this system")


def _drawn(drawer: Any, svg: str, family: str, width: int) -> bytes:  # noqa: ANN401 - as above
    # the library's own resolution is zero dots an inch, which leaves a page in mm no size
    return bytes(
        drawer.svg_to_bytes(svg_string=svg, width=width, dpi=96.0, sans_serif_family=family)
    )

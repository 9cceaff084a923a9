"""Sizes of a shape that fit one another, and leave something of it inside the seams."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from loftline.project.faults import Slip
from loftline.project.given import Given

_ROUNDING_MM: Final = 1e-9


def size_slips(given: Given, shape: str | None) -> Iterator[Slip]:
    """Slips of sizes that no such panel can have."""
    width, height = given.size("width"), given.size("height")
    if shape == "rectangle" and width is not None and height is not None:
        yield from _too_round(given, min(width, height) / 2, "half the shorter side")
    if shape == "zip pouch side" and width is not None and height is not None:
        most = min(width / 2, height)
        yield from _too_round(given, most, "the smaller of half the width and the height")
    if shape in ("folded pouch", "flat sleeve"):
        yield from _one_seam(given, "body", "the front")
    if shape == "folded pouch":
        yield from _flap(given, width)
    if shape == "boxed tote side":
        yield from _cut_corners(given, width, height)
    yield from _both_seams(given, shape)


def _flap(given: Given, width: float | None) -> Iterator[Slip]:
    """A flap that covers the front, hangs within it, and is more than seams."""
    body, flap = given.size("body"), given.size("flap")
    inset = given.length("flap_inset", 0.0) or 0.0
    if body is not None and flap is not None and flap > body:
        says = f"found {given.found('flap')}; a flap longer than the body "
        yield Slip(("flap",), says + f"({given.words(body)}) would hang below the bag")
    yield from _one_seam(given, "flap", "the flap")
    if width is None:
        return
    if inset >= width / 2:
        says = f"found {given.found('flap_inset')}; should be less than half the width "
        yield Slip(("flap_inset",), says + f"({given.words(width / 2)})")
        return
    seams = 2 * _seam(given)
    left = width - 2 * inset
    if seams < width and left <= seams:
        says = f"found {given.found('flap_inset')}; leaves a flap {given.words(left)} wide, and "
        says += f"the seam allowances at both sides take up {given.words(seams)}; "
        most = given.words((width - seams) / 2)
        yield Slip(("flap_inset",), says + f"should be less than {most}")
    if flap is not None:
        most_round = min(flap, width / 2 - inset)
        yield from _too_round(
            given, most_round, "the smaller of the flap's length and half its width"
        )


def _cut_corners(given: Given, width: float | None, height: float | None) -> Iterator[Slip]:
    """Squares of half the depth out of both bottom corners, and a base and a side left."""
    depth, seam = given.size("depth"), _seam(given)
    if depth is None:
        return
    found = f"found {given.found('depth')}; squares of half of it are cut out of the bottom corners"
    if width is not None and depth >= width:
        says = f"{found}, so of the width ({given.words(width)}) nothing is left; "
        yield Slip(("depth",), says + f"should be less than {given.words(width)}")
    elif height is not None and depth >= 2 * height:
        says = f"{found}, so of the height ({given.words(height)}) nothing is left; "
        yield Slip(("depth",), says + f"should be less than {given.words(2 * height)}")
    elif width is not None and 2 * seam < width <= depth + 2 * seam:
        says = f"{found}, and the seam allowances take up the rest of the width "
        says += f"({given.words(width)}); should be less than {given.words(width - 2 * seam)}"
        yield Slip(("depth",), says)
    elif height is not None and 2 * seam < height <= depth / 2 + 2 * seam:
        says = f"{found}, and the seam allowances take up the rest of the height "
        says += f"({given.words(height)}); should be less than "
        yield Slip(("depth",), says + given.words(2 * (height - 2 * seam)))


def _one_seam(given: Given, key: str, what: str) -> Iterator[Slip]:
    """A part with a fold at one end and a seam at the other."""
    size, seam = given.size(key), _seam(given)
    if size is not None and size <= seam:
        says = f"found {given.found(key)}; the seam allowance ({given.words(seam)}) takes up all "
        yield Slip((key,), says + f"of {what}; should be more than {given.words(seam)}")


def _both_seams(given: Given, shape: str | None) -> Iterator[Slip]:
    """A seam at either side, and something between them."""
    keys = {"folded pouch": ("width",), "flat sleeve": ("width",), "strap": ("width", "length")}
    if shape in ("polygon", "file"):  # seen once it is drawn
        return
    sizes = (given.size(key) for key in keys.get(shape or "", ("width", "height")))
    narrow = min((size for size in sizes if size is not None), default=math.inf)
    seam = _seam(given)
    if narrow <= 2 * seam:
        found = given.found("seam_allowance", seam)
        says = f"found {found}; with one at each side nothing is left of the panel, which is "
        says += f"{given.words(narrow)} across; should be less than {given.words(narrow / 2)}"
        yield Slip(("seam_allowance",), says)


def _seam(given: Given) -> float:
    return given.length("seam_allowance", 10.0) or 0.0


def _too_round(given: Given, most: float, what: str) -> Iterator[Slip]:
    key, share = ("corner_object", 2) if given.has("corner_object") else ("corner_radius", 1)
    size = given.length(key, 0.0)
    if size is not None and size > share * (most + _ROUNDING_MM):
        limit = f"twice {what}".replace("twice half ", "") if share == 2 else what
        says = f"found {given.found(key)}; should be at most {limit} "
        yield Slip((key,), says + f"({given.words(share * most)})")

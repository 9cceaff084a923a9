"""Reading a picture back, by means that share nothing with what drew it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree import ElementTree as ET

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Element = ET.Element

SVG = "{http://www.w3.org/2000/svg}"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def read_picture(text: str) -> Element:
    return ET.fromstring(text)  # noqa: S314 - our own text


def by_id(picture: Element, name: str) -> Element:
    found = [element for element in picture.iter() if element.get("id") == name]
    assert len(found) == 1, f"{len(found)} elements are called {name}"
    return found[0]


def of_class(element: Element, name: str) -> list[Element]:
    return [inner for inner in element.iter() if name in (inner.get("class") or "").split()]


def polylines(path: Element) -> list[Floats]:
    """The pieces of a path of moves and lines; a closed one repeats its first point."""
    data = path.get("d") or ""
    assert re.fullmatch(r"(M[-\d. ]+(L[-\d. ]+)*Z?)*", data), data[:60]
    out = []
    for piece in re.findall(r"M[^M]+", data):
        points = np.array([float(n) for n in NUMBER.findall(piece)]).reshape(-1, 2)
        out.append(np.vstack([points, points[:1]]) if piece.endswith("Z") else points)
    return out


def panel_shift(picture: Element) -> tuple[float, float]:
    """Page place of the panel's zero; the panel is turned over there, nothing else."""
    transform = by_id(picture, "panel").get("transform") or ""
    match = re.fullmatch(r"translate\(([-\d.]+),([-\d.]+)\) scale\(1,-1\)", transform)
    assert match, transform
    return float(match[1]), float(match[2])


def texts(element: Element) -> list[str]:
    return [inner.text or "" for inner in element.iter(f"{SVG}text")]


def differences(one: Element, other: Element, tolerance: float = 0.03) -> Iterator[str]:
    """Where two pictures differ; numbers may by a little, as geometry libraries round."""
    if one.tag != other.tag or (one.text or "").strip() != (other.text or "").strip():
        yield f"{one.tag} {one.text!r} is {other.tag} {other.text!r}"
    for key in sorted({*one.keys(), *other.keys()}):
        a, b = one.get(key, ""), other.get(key, "")
        if not _alike(a, b, tolerance):
            yield f"{one.tag} {key}: {a[:80]!r} is {b[:80]!r}"
    if len(one) != len(other):
        yield f"{one.tag} {one.get('id', '')} holds {len(one)}, not {len(other)} elements"
    for a_inner, b_inner in zip(one, other, strict=False):
        yield from differences(a_inner, b_inner, tolerance)


def _alike(a: str, b: str, tolerance: float) -> bool:
    if a == b:
        return True
    if a.startswith("#") or NUMBER.sub("n", a) != NUMBER.sub("n", b):
        return False
    pairs = zip(NUMBER.findall(a), NUMBER.findall(b), strict=True)
    return all(abs(float(x) - float(y)) <= tolerance for x, y in pairs)

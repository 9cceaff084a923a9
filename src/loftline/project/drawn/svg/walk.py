"""The walk over the tree of an SVG drawing, with counts of all that could grow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final
from xml.etree.ElementTree import Element

import numpy as np
import numpy.typing as npt

from loftline.project.drawn.counts import Counts
from loftline.project.drawn.drawing import DrawnUnit, Refusal, Sheet, Stroke
from loftline.project.drawn.limits import FARTHEST_MM, FLAT_MM, MOST_DEPTH
from loftline.project.drawn.svg.attributes import called, hidden, link, names, tag_of
from loftline.project.drawn.svg.measures import fitted, length, page, sound, transform, view_box
from loftline.project.drawn.svg.shapes import SHAPES, lines

Floats = npt.NDArray[np.float64]

_GROUPS: Final = {"g", "svg", "a", "switch"}
_SILENT: Final = {
    "defs",
    "title",
    "desc",
    "metadata",
    "symbol",
    "style",
    "script",
    "namedview",
    "clipPath",
    "mask",
    "pattern",
    "marker",
    "linearGradient",
    "radialGradient",
    "filter",
    "view",
}
_WORDS: Final = {"text": ("text", "texts"), "image": ("image", "images")}
_OTHER: Final = ("thing that is no line", "things that are no lines")
_HIDDEN: Final = ("hidden shape", "hidden shapes")


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the walk is: the transform so far, the viewport, the names around."""

    matrix: Floats
    view: tuple[float, float]
    names: tuple[str, ...]
    layer: str
    depth: int
    hidden: bool
    uses: tuple[int, ...]


class Reader:
    """One walk over the tree, counting.

    Args:
        root: the drawing.
        flat: how far the straight pieces that stand for a curve may lie from it, mm.
    """

    def __init__(self, root: Element, flat: float = FLAT_MM) -> None:
        self.root = root
        self.flat = flat
        self.by_id = {e.get("id"): e for e in reversed(list(root.iter())) if e.get("id")}
        self.ignored: Counter[tuple[str, str]] = Counter()
        self.counts = Counts("elements")

    def sheet(self, unit: DrawnUnit | None) -> Sheet:
        """All lines of the drawing in mm, y up."""
        matrix, view, says = page(self.root, unit)
        place = _Place(matrix, view, (), "", 0, hidden=False, uses=())
        strokes: list[Stroke] = []
        with np.errstate(all="ignore"):  # what is no number in the end is refused
            for child in self.root:
                strokes.extend(self._walk(child, self._entered(self.root, place)))
        return Sheet(strokes=tuple(strokes), ignored=dict(self.ignored), unit=says)

    def _walk(self, element: Element, place: _Place) -> Iterator[Stroke]:
        self.counts.elements(1)
        if place.depth > MOST_DEPTH:
            raise Refusal("file", f"groups are nested more than {MOST_DEPTH} deep; ungroup them")
        tag = tag_of(element)
        if tag in _SILENT or not tag:
            return
        if tag == "use":
            yield from self._used(element, place)
        elif tag in _GROUPS:
            inner = self._entered(element, place)
            if tag == "svg":
                inner = self._nested(element, inner)
            for child in element:
                yield from self._walk(child, inner)
        elif tag in SHAPES:
            inner = self._entered(element, place)
            if inner.hidden:
                self.ignored[_HIDDEN] += 1
            else:
                yield from self._strokes(element, tag, replace(inner, layer=place.layer))
        else:
            self.ignored[_WORDS.get(tag, _OTHER)] += 1

    def _entered(self, element: Element, place: _Place) -> _Place:
        """The place inside an element."""
        own = names(element)
        return _Place(
            place.matrix @ transform(element),
            place.view,
            (*own, *place.names),
            own[0] if own else place.layer,
            place.depth + 1,
            hidden=place.hidden or hidden(element),
            uses=place.uses,
        )

    def _nested(self, element: Element, place: _Place) -> _Place:
        """The place inside a drawing within the drawing."""
        x, y = (length(element.get(k, "0"), w) for k, w in zip("xy", place.view, strict=True))
        width, height = (
            length(element.get(key, "100%"), whole)
            for key, whole in zip(("width", "height"), place.view, strict=True)
        )
        box = view_box(element)
        if box is None:
            shift = np.array([[1.0, 0, x], [0, 1.0, y], [0, 0, 1.0]])
            return replace(place, matrix=place.matrix @ shift, view=(width, height))
        inner = fitted(element, box, (x, y, width, height))
        return replace(place, matrix=place.matrix @ inner, view=(box[2], box[3]))

    def _used(self, element: Element, place: _Place) -> Iterator[Stroke]:
        """What is drawn again elsewhere."""
        target = self.by_id.get(link(element).removeprefix("#"))
        if target is None:
            self.ignored["link that leads nowhere", "links that lead nowhere"] += 1
            return
        if id(target) in place.uses:
            raise Refusal("file", f"{called(element)} is used inside itself")
        inner = self._entered(element, place)
        x, y = (length(element.get(k, "0"), w) for k, w in zip("xy", place.view, strict=True))
        shift = np.array([[1.0, 0, x], [0, 1.0, y], [0, 0, 1.0]])
        inner = replace(inner, matrix=inner.matrix @ shift, uses=(*place.uses, id(target)))
        if tag_of(target) != "symbol":
            yield from self._walk(target, inner)
            return
        sized = Element("svg", {k: v for k, v in target.attrib.items() if k not in {"x", "y"}})
        sized.attrib.update({k: v for k, v in element.attrib.items() if k in {"width", "height"}})
        inner = self._nested(sized, self._entered(target, inner))
        for child in target:
            yield from self._walk(child, inner)

    def _strokes(self, element: Element, tag: str, place: _Place) -> Iterator[Stroke]:
        own = names(element)
        matrix = place.matrix
        stretch = float(np.linalg.norm(matrix[:2, :2], 2)) if sound(matrix) else 0.0
        if not 0 < stretch < 1e9:
            raise Refusal("file", f"{called(element)} is scaled to nothing, or beyond all bounds")
        for points, closed in lines(element, tag, place.view, self.flat / stretch, self.counts):
            if len(points) < 2:
                continue
            ground = points @ matrix[:2, :2].T + matrix[:2, 2]
            if not (np.abs(ground) <= FARTHEST_MM).all():  # not a number too
                raise Refusal("file", f"{called(element)} reaches farther than 10 km")
            yield Stroke(
                points=ground,
                closed=closed,
                own=own[0] if own else "",
                names=place.names,
                layer=place.layer,
            )

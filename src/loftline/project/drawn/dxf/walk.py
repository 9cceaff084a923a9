"""The walk over a DXF drawing: what lies in its model space, blocks drawn out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from ezdxf.document import Drawing as Document
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert

from loftline.project.drawn.counts import Counts
from loftline.project.drawn.drawing import Refusal, Sheet, Stroke
from loftline.project.drawn.dxf.entities import line_of
from loftline.project.drawn.limits import FARTHEST_MM, FLAT_MM, MOST_DEPTH
from loftline.project.drawn.names import clean
from loftline.units import show

Floats = npt.NDArray[np.float64]

_WORDS: Final = {
    "TEXT": ("text", "texts"),
    "MTEXT": ("text", "texts"),
    "ATTDEF": ("text", "texts"),
    "DIMENSION": ("dimension", "dimensions"),
    "HATCH": ("hatching", "hatchings"),
    "POINT": ("point", "points"),
    "IMAGE": ("image", "images"),
}
_OTHER: Final = ("thing that is no line", "things that are no lines")
_HIDDEN: Final = ("hidden shape", "hidden shapes")


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the walk is: the transform to mm, the layer of what is on none, the blocks around."""

    matrix: Floats
    layer: str
    names: tuple[str, ...]
    blocks: tuple[str, ...]


class Reader:
    """One walk over the model space, counting."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.ignored: Counter[tuple[str, str]] = Counter()
        self.counts = Counts("entities")
        self.hidden = {
            layer.dxf.name.casefold()
            for layer in document.layers
            if layer.is_off() or layer.is_frozen()
        }

    def sheet(self, scale: float, says: str) -> Sheet:
        """All lines of the drawing in mm, y up."""
        matrix = np.diag([scale, scale, 1.0])
        place = _Place(matrix, "0", (), ())
        strokes: list[Stroke] = []
        with np.errstate(all="ignore"):  # what is no number in the end is refused
            for entity in self.document.modelspace():
                strokes.extend(self._walk(entity, place))
        return Sheet(strokes=tuple(strokes), ignored=dict(self.ignored), unit=says)

    def _walk(self, entity: DXFEntity, place: _Place) -> Iterator[Stroke]:
        self.counts.elements(1)
        if not isinstance(entity, DXFGraphic):
            return
        raw = str(entity.dxf.get("layer", "0"))
        layer = place.layer if raw == "0" and place.blocks else raw
        if layer.casefold() in self.hidden or entity.dxf.get("invisible", 0) == 1:
            self.ignored[_HIDDEN] += 1
            return
        name = clean(layer)
        if isinstance(entity, Insert):
            yield from self._inserted(entity, place, layer)
            return
        yield from self._drawn(entity, place, name)

    def _drawn(self, entity: DXFGraphic, place: _Place, name: str) -> Iterator[Stroke]:
        """The lines of one entity in mm."""
        own = next((clean(block) for block in place.blocks if not block.startswith("*")), "")
        stretch = float(np.linalg.norm(place.matrix[:2, :2], 2))
        if not 0 < stretch < 1e9:
            raise Refusal("file", "a block of the drawing is scaled to nothing")
        try:
            found = line_of(entity, FLAT_MM / stretch)
        except Refusal:
            raise
        except Exception:  # noqa: BLE001 - the library raises many kinds, all mean this
            says = f"{_called(entity, name)} cannot be read; draw it anew"
            raise Refusal("file", says) from None
        if found is None:
            self.ignored[_WORDS.get(entity.dxftype(), _OTHER)] += 1
            return
        points, closed = found
        if len(points) < 2:
            return
        ground = points @ place.matrix[:2, :2].T + place.matrix[:2, 2]
        if not (np.abs(ground) <= FARTHEST_MM).all():  # not a number too
            raise Refusal("file", f"{_called(entity, name)} reaches farther than 10 km")
        self.counts.points(len(points))
        names = tuple(dict.fromkeys((name, *place.names)))
        yield Stroke(points=ground, closed=closed, own=own, names=names, layer=name)

    def _inserted(self, insert: Insert, place: _Place, layer: str) -> Iterator[Stroke]:
        """What a block holds, drawn out in its place."""
        name = str(insert.dxf.get("name", ""))
        if name.casefold() in (block.casefold() for block in place.blocks):
            raise Refusal("file", f"the block {show(clean(name))} holds itself")
        if len(place.blocks) >= MOST_DEPTH:
            raise Refusal("file", f"blocks are nested more than {MOST_DEPTH} deep; take them apart")
        if name not in self.document.blocks:
            self.ignored["block that is not in the file", "blocks that are not in the file"] += 1
            return
        block = self.document.blocks[name]
        names = tuple(dict.fromkeys((clean(layer), clean(name), *place.names)))
        for matrix in self._placings(insert, clean(name)):
            inner = place.matrix @ matrix
            if not np.isfinite(inner).all():
                raise Refusal("file", f"the block {show(clean(name))} is moved beyond all bounds")
            for entity in block:
                yield from self._walk(entity, _Place(inner, layer, names, (name, *place.blocks)))

    def _placings(self, insert: Insert, name: str) -> list[Floats]:
        """Transforms to where a block is drawn: once, or in rows."""
        try:
            copies = int(insert.mcount)
            self.counts.elements(max(copies, 1))
            rows = insert.multi_insert() if copies > 1 else (insert,)
            found = [np.array([*one.matrix44()], dtype=np.float64).reshape(4, 4) for one in rows]
        except Refusal:
            raise
        except Exception:  # noqa: BLE001 - the library raises many kinds, all mean this
            says = f"the block {show(name)} cannot be placed; draw it anew"
            raise Refusal("file", says) from None
        out = []
        for full in found:
            matrix = np.eye(3)
            matrix[:2, :2], matrix[:2, 2] = full[:2, :2].T, full[3, :2]
            out.append(matrix)
        return out


def _called(entity: DXFGraphic, layer: str) -> str:
    return f"{entity.dxftype()} on layer {show(layer)}"

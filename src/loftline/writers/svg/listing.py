"""Keep-outs and hardware as the key lists them: pieces of one row that are alike, together."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from loftline.units import Unit
from loftline.values import KeepOut, Panel, Piece
from loftline.writers.svg import wording as say
from loftline.writers.svg.letters import lettered

_NUMBERED = re.compile(r"(.+) ([1-9]\d*)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """One entry of the key.

    Attributes:
        letter: as in the picture; of several pieces the first and the last.
        name: likewise.
        hard: whether it is a keep-out while quilting.
        tell: size and where it sits.
        face_up: of a magnet in a pair, which face.
        edges: least distances of its centre from the edges (cut, finished), mm; ``None``
            where they are not known.
        number: behind the name, of a piece of a row.
        alike: whether all of several pieces lie as far from the edges.
    """

    letter: str
    name: str
    hard: bool
    tell: str
    face_up: str = ""
    edges: tuple[float, float] | None = None
    number: int = 0
    alike: bool = True

    def edge_words(self, units: Unit) -> str:
        """How far its centre lies from the edges; nothing where that is not known."""
        if self.edges is None:
            return ""
        return say.edge_words(*self.edges, units, least=not self.alike)


def listed(panel: Panel, units: Unit) -> list[Listed]:
    """The entries in the order of their letters."""
    pieces = {piece.name: piece for piece in panel.pieces}
    entries = [_entry(letter, thing, pieces, units) for letter, thing in lettered(panel)]
    return [entry for run in _rows(entries) for entry in _together(run)]


def _entry(letter: str, thing: KeepOut | Piece, pieces: Mapping[str, Piece], units: Unit) -> Listed:
    if isinstance(thing, KeepOut):
        piece = pieces.get(thing.name) if thing.hardware else None
        tell = say.keep_out_words(thing, units)
    else:
        piece, tell = thing, say.piece_words(thing, units)
    numbered = _NUMBERED.fullmatch(thing.name)
    entry = Listed(
        letter=letter,
        name=thing.name,
        hard=isinstance(thing, KeepOut),
        tell=tell,
        number=int(numbered[2]) if numbered and thing.mate_of is None else 0,
    )
    if piece is None or piece.from_cut is None:
        return entry
    return replace(entry, face_up=piece.face_up, edges=(piece.from_cut, piece.from_finished or 0.0))


def _rows(entries: Sequence[Listed]) -> Iterator[list[Listed]]:
    """Entries that follow each other and differ in their number and their place alone."""
    run: list[Listed] = []
    for entry in entries:
        if run and not _next(run[-1], entry):
            yield run
            run = []
        run.append(entry)
    if run:
        yield run


def _next(one: Listed, two: Listed) -> bool:
    if not (one.number and two.number == one.number + 1):
        return False
    same = (
        (entry.name.rpartition(" ")[0], entry.hard, entry.tell, entry.face_up)
        for entry in (one, two)
    )
    return len(set(same)) == 1


def _together(run: Sequence[Listed]) -> Iterator[Listed]:
    first, last = run[0], run[-1]
    if len(run) == 1:
        yield first
        return
    far = [entry.edges for entry in run if entry.edges is not None]
    alike = all(max(map(abs, _apart(one, two))) < 0.05 for one, two in itertools.pairwise(far))
    least = min(far, default=None)
    join = ", " if len(run) == 2 else "\u2013"
    yield replace(
        first,
        letter=f"{first.letter}{join.strip()}{last.letter}",
        name=f"{first.name} {'and' if len(run) == 2 else 'to'} {last.number}",
        edges=least,
        alike=alike,
    )


def _apart(one: tuple[float, float], two: tuple[float, float]) -> tuple[float, float]:
    return one[0] - two[0], one[1] - two[1]

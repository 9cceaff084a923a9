"""Lists of tables in the text of a project file: other order, or less of them.

What stands directly above the heading of an entry, and inside it, is about that entry: comments
go where it goes, and go when it goes.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from typing import cast

from loftline.web.edits import Tables

Path = tuple[str, ...]

_HEADING = re.compile(r"^[ \t]*\[{1,2}[^\[\]\n]+\]{1,2}[ \t]*(?:#.*)?$", re.MULTILINE)
_ABOVE = re.compile(r"(?:^[ \t]*#.*\n)+\Z", re.MULTILINE)


def in_order(text: str, old: Tables, new: Tables) -> str:
    """The text with the entries of its lists where the new tables have them.

    Entries that are there no more are left out; what else has changed is not written here.

    Args:
        text: of a project file.
        old: what it holds.
        new: what it should hold.

    Returns:
        The text itself where its lists are not written under headings of their own.
    """
    for path, before in _lists(old):
        after = _at(new, path)
        order = _matched(before, after if isinstance(after, list) else [])
        if order == list(range(len(before))):
            continue
        moved = _moved(text, path, len(before), order)
        if moved is not None and _holds(moved, path, [before[i] for i in order]):
            text = moved
    return text


def _lists(tables: Tables, path: Path = ()) -> Iterator[tuple[Path, list[Tables]]]:
    """All lists of tables, those in tables too."""
    for key, value in tables.items():
        if isinstance(value, Mapping):
            yield from _lists(value, (*path, key))
        elif isinstance(value, list) and value and all(isinstance(v, Mapping) for v in value):
            yield (*path, key), cast("list[Tables]", value)


def _at(tables: object, path: Path) -> object:
    for step in path:
        tables = tables.get(step) if isinstance(tables, Mapping) else None
    return tables


def _matched(old: Sequence[Tables], new: Sequence[object]) -> list[int]:
    """Which old entry each new one was, in the new order; those that are new are left out.

    Entries that are equal belong together, then those of one name, then what is left, in order.
    """
    found: dict[int, int] = {}
    free = list(range(len(old)))

    def take(same: Sequence[tuple[int, int]]) -> None:
        for n, o in same:
            if n not in found and o in free:
                found[n] = o
                free.remove(o)

    take([(n, o) for n, entry in enumerate(new) for o, was in enumerate(old) if was == entry])
    names = [entry.get("name") if isinstance(entry, Mapping) else None for entry in new]
    named = [(n, o) for n, name in enumerate(names) if name for o in free]
    take([(n, o) for n, o in named if old[o].get("name") == names[n]])
    rest = [n for n in range(len(new)) if n not in found]
    take(list(zip(rest, list(free), strict=False)))
    return [found[n] for n in sorted(found)]


def _moved(text: str, path: Path, count: int, order: Sequence[int]) -> str | None:
    """The text with the blocks of a list in another order."""
    spans = list(_blocks(text, path))
    if len(spans) != count:
        return None
    bodies = [text[start:end].rstrip() for start, end in spans]
    gaps = [text[start:end][len(body) :] for (start, end), body in zip(spans, bodies, strict=True)]
    pieces, at = [], 0
    for place, (start, end) in enumerate(spans):
        pieces.append(text[at:start])
        if place < len(order):
            pieces.append(bodies[order[place]] + (gaps[place] or "\n"))
        at = end
    return "".join([*pieces, text[at:]])


def _blocks(text: str, path: Path) -> Iterator[tuple[int, int]]:
    """Where each entry of a list begins, comments above it counted in, and ends."""
    name = r"[ \t]*\.[ \t]*".join(rf"(?:{re.escape(key)}|\"{re.escape(key)}\")" for key in path)
    own = re.compile(rf"[ \t]*\[\[[ \t]*{name}[ \t]*\]\]")
    inner = re.compile(rf"[ \t]*\[{{1,2}}[ \t]*{name}[ \t]*\.")
    begun: int | None = None
    for heading in _HEADING.finditer(text):
        line = heading.group()
        if inner.match(line):
            continue
        above = _ABOVE.search(text, 0, heading.start())
        start = above.start() if above else heading.start()
        if begun is not None:
            yield begun, start
        begun = start if own.match(line) else None
    if begun is not None:
        yield begun, len(text)


def _holds(text: str, path: Path, entries: Sequence[Tables]) -> bool:
    """Whether a text holds these entries in that list."""
    try:
        found = _at(tomllib.loads(text), path)
    except tomllib.TOMLDecodeError:
        return False
    return (found or []) == list(entries)

"""Changed tables written into the text of a project file, its comments and order kept."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, MutableMapping, MutableSequence
from typing import Any, cast

import tomlkit
from tomlkit.items import AoT, Table

from loftline.web.blocks import in_order
from loftline.web.edits import Tables


def written(text: str, new: Tables) -> str:
    """The text of a project file with other values.

    Args:
        text: the file as it was read; its comments, its order and all that stays the same
            are kept.
        new: what it should hold.

    Returns:
        Text that reads back as ``new``. Where that cannot be done with the comments kept, the
        tables alone.
    """
    text = in_order(text, tomllib.loads(text), new)
    document = tomlkit.parse(text)
    _table(document, tomllib.loads(text), new)
    kept = tomlkit.dumps(document)
    try:
        if tomllib.loads(kept) == new:
            return kept
    except tomllib.TOMLDecodeError:
        pass
    return tomlkit.dumps(new)


def _table(table: MutableMapping[str, Any], old: Tables, new: Tables) -> None:
    """Give a table other values, touching only what differs."""
    for key in [key for key in old if key not in new]:
        del table[key]
    for key, value in new.items():
        if key not in old:
            table[key] = _fresh(value)
            continue
        before = old[key]
        if before is value or before == value:
            continue
        if isinstance(before, Mapping) and isinstance(value, Mapping):
            _table(table[key], before, value)
        elif _tables(before) and _tables(value) and value:
            _entries(table[key], cast("list[Tables]", before), cast("list[Tables]", value))
        else:
            table[key] = value


def _entries(array: MutableSequence[Any], old: list[Tables], new: list[Tables]) -> None:
    """Give a list of tables other entries: those that stay the same at both ends are kept."""
    head = 0
    while head < min(len(old), len(new)) and old[head] == new[head]:
        head += 1
    tail = 0
    while tail < min(len(old), len(new)) - head and old[-1 - tail] == new[-1 - tail]:
        tail += 1
    common = min(len(old), len(new)) - head - tail
    for i in range(head, head + common):
        _table(array[i], old[i], new[i])
    for i in reversed(range(head + common, len(old) - tail)):
        del array[i]
    for i in range(head + common, len(new) - tail):
        array.insert(i, _spaced(new[i], array[i - 1]) if isinstance(array, AoT) else new[i])


def _spaced(entry: Tables, before: Table) -> Table:
    """A new entry with an empty line after it, where there is one after the entry before it."""
    table: Table = _fresh(entry)
    if before.as_string().endswith("\n\n"):
        table.add(tomlkit.nl())
    return table


def _fresh(value: object) -> Any:  # noqa: ANN401 - what tomlkit takes
    """A new value: tables within a table stand on one line, lists of tables under headings."""
    if _tables(value) and value:
        entries = tomlkit.aot()
        for entry in cast("list[Tables]", value):
            entries.append(_fresh(entry))
        return entries
    if isinstance(value, Mapping):
        table = tomlkit.table()
        for key, item in value.items():
            if isinstance(item, Mapping):
                inline = tomlkit.inline_table()
                inline.update(item)
                table[key] = inline
            else:
                table[key] = item
        return table
    return value


def _tables(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(entry, Mapping) for entry in value)

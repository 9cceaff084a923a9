"""Finding a row of a table by the words a maker writes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Protocol, TypeVar


class Row(Protocol):
    """A row with the names it goes by."""

    @property
    def names(self) -> tuple[str, ...]:
        """Names, the first of them the one that is shown."""
        ...


R = TypeVar("R", bound=Row)


def plain(words: str) -> str:
    """Words in lower case with single spaces and without punctuation between them.

    >>> plain(" Needle-punched  COTTON ")
    'needle punched cotton'
    """
    return " ".join(re.findall(r"[^\W_]+", words.casefold()))


def by_name(rows: Iterable[R]) -> Mapping[str, R]:
    """Rows by every plain name they go by.

    Raises:
        ValueError: two rows share a name.
    """
    table: dict[str, R] = {}
    for row in rows:
        for name in row.names:
            if table.setdefault(plain(name), row) is not row:
                raise ValueError(f'two rows are named "{name}"')
    return MappingProxyType(table)

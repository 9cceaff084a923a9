"""A raw table seen through the eyes of a rule: values where they can be read, else nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from pydantic import BaseModel

from loftline.project.limits import LARGEST_MM, MOST_PIECES
from loftline.units import Unit, format_length, parse_length, read_finite, show


class Given:
    """Raw keys of one table, read leniently.

    A rule that compares two keys asks here; a key that is missing or cannot be read is
    ``None``, and its own fault is told elsewhere.
    """

    __slots__ = ("_raw", "_units")

    def __init__(self, raw: object, units: Unit) -> None:
        # A table built in Python holds mm already.
        self._units: Unit = "mm" if isinstance(raw, BaseModel) else units
        self._raw = cast(
            "Mapping[str, object]",
            vars(raw) if isinstance(raw, BaseModel) else raw if isinstance(raw, Mapping) else {},
        )

    @property
    def units(self) -> Unit:
        """Unit of bare numbers."""
        return self._units

    def has(self, key: str) -> bool:
        """Whether the key is written."""
        return self._raw.get(key) is not None

    def items(self) -> dict[str, object]:
        """All keys with their values as they are written; a copy."""
        return dict(self._raw)

    def raw(self, key: str) -> object:
        """The value as it is written."""
        return self._raw.get(key)

    def length(self, key: str, default: float | None = None) -> float | None:
        """Millimetres, the default when not written, ``None`` when it cannot be read."""
        if not self.has(key):
            return default
        try:
            return parse_length(self._raw[key], self._units)
        except ValueError:
            return None

    def size(self, key: str, default: float | None = None) -> float | None:
        """A length that a panel may have; ``None`` when it is out of bounds too."""
        mm = self.length(key, default)
        return mm if mm is not None and 0 < mm <= LARGEST_MM else None

    def found(self, key: str, default: float = 0.0) -> str:
        """The value as it is written, or the default in the maker's unit."""
        return show(self._raw[key]) if self.has(key) else self.words(default)

    def words(self, mm: float) -> str:
        """A length in the maker's unit."""
        return format_length(mm, self._units)

    def number(self, key: str) -> float | None:
        """A plain number, ``None`` when it is missing or cannot be read."""
        try:
            return read_finite(self._raw.get(key))
        except ValueError:
            return None

    def text(self, key: str, default: str | None = None) -> str | None:
        """Text without needless spaces."""
        value = self._raw.get(key, default)
        return " ".join(value[:1000].split()) if isinstance(value, str) else None

    def table(self, key: str) -> Given:
        """An inner table; empty when it is missing or none."""
        return Given(self._raw.get(key), self._units)

    def tables(self, key: str) -> list[Given]:
        """Entries of a list of tables, in order; none of a list that is refused for its length."""
        value = self._raw.get(key)
        if not isinstance(value, list | tuple) or len(value) > MOST_PIECES:
            return []
        return [Given(entry, self._units) for entry in value]

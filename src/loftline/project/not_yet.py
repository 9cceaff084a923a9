"""What the format knows and this version does not do: refused in words, never ignored.

A later version takes a row away and does the thing.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

LATER_KEYS: Final[Mapping[tuple[str, str], str]] = MappingProxyType({})
"""Keys by (table, key), each with what to do instead."""

LATER_FORMATS: Final[Mapping[str, str]] = MappingProxyType({})

"""The makers of all quilting designs, each found by its row in :mod:`loftline.patterns`."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from types import MappingProxyType
from typing import Final, cast

from loftline import patterns
from loftline.fills.fill_lines import Maker


def _maker(word: str, row: patterns.Pattern) -> Maker:
    name = row.module or word.replace(" ", "_")
    return cast("Maker", getattr(import_module(f"loftline.fills.{name}"), name))


PATTERNS: Final[Mapping[str, Maker]] = MappingProxyType(
    {word: _maker(word, row) for word, row in patterns.PATTERNS.items()}
)

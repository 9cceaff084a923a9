"""All quilting designs by the word of their pattern, one row each.

A new one is a module ``loftline.fills.<word>``, with underscores for spaces, which holds a
function of that name (:data:`loftline.fills.fill_lines.Maker`), and a row here.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple


class Pattern(NamedTuple):
    """What a design is drawn by, and what is said of it in the project file.

    Attributes:
        keys: those of ``[[fills]]`` that belong to some designs only, and to this one.
        module: where it is not named after the word.
    """

    keys: tuple[str, ...] = ()
    module: str = ""


PATTERNS: Final[Mapping[str, Pattern]] = MappingProxyType(
    {
        "channel": Pattern(
            (
                *("angle", "start_at", "even_ends", "uneven", "paired"),
                *("wave_height", "wave_length", "at_keep_outs"),
            )
        ),
        "grid": Pattern(("angle", "setting", "start_at")),
        "meander": Pattern(
            ("handwriting", "entry", "exit", "spacing_to", "spacing_towards"), module="wandering"
        ),
        "echo": Pattern(("joined", "echo_of")),
        "spiral": Pattern(("start_at",)),
        "rays": Pattern(("start_at", "joined")),
        "motif": Pattern(("motif", "size", "angle", "start_at")),
    }
)
"""In the order in which they are named."""

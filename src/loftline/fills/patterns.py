"""All fills by the name of their pattern. A new one is a module and a line here."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from loftline.fills.channel import channel
from loftline.fills.echo import echo
from loftline.fills.fill_lines import Maker
from loftline.fills.grid import grid
from loftline.fills.motif import motif
from loftline.fills.rays import rays
from loftline.fills.spiral import spiral
from loftline.fills.wandering import wandering

PATTERNS: Final[Mapping[str, Maker]] = MappingProxyType(
    {
        "channel": channel,
        "grid": grid,
        "meander": wandering,
        "echo": echo,
        "spiral": spiral,
        "rays": rays,
        "motif": motif,
    }
)

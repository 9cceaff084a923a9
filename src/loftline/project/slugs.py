"""File names made of what the maker calls her things."""

from __future__ import annotations

import re
import unicodedata


def slug_of(name: str, otherwise: str) -> str:
    """A stem for files: ASCII letters, digits and hyphens only, never empty, at most 60 long.

    Args:
        name: in the maker's words.
        otherwise: where nothing of the name can stand in a file name; added where some systems
            keep the name for devices.

    >>> slug_of("Spoke pouch", "panel"), slug_of("***", "panel"), slug_of("con", "panel")
    ('spoke-pouch', 'panel', 'con-panel')
    """
    plain = unicodedata.normalize("NFKD", name.casefold())
    ascii_only = plain.encode("ascii", "ignore").decode("ascii")
    stem = re.sub(r"[^a-z0-9]+", "-", ascii_only)[:60].strip("-") or otherwise
    return f"{stem}-{otherwise}" if re.fullmatch(r"con|prn|aux|nul|(com|lpt)[0-9]", stem) else stem

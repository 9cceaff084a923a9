"""Lists as typed behind an option, and sentences for what does not fit."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from typing import Any

from loftline.cli.words import FORMATS, PAPERS, SHEETS


class UsageError(Exception):
    """What was typed does not fit; the message is one sentence for the maker."""


def read_formats(text: str) -> tuple[str, ...]:
    """Formats as typed, in order, each once.

    >>> read_formats("dst, SVG,dst")
    ('dst', 'svg')

    Raises:
        UsageError: for a word that is no format, or for none at all.
    """
    formats = [word.strip().lower().removeprefix(".") for word in text.split(",")]
    formats = [word for word in formats if word]
    for word in formats:
        if word not in FORMATS:
            raise UsageError(
                f"--format: there is no format {word!r}{nearest_word(word, FORMATS)}; "
                f"there are {', '.join(FORMATS[:-1])} and {FORMATS[-1]}."
            )
    if not formats:
        raise UsageError(f"--format needs at least one of {', '.join(FORMATS)}.")
    return tuple(dict.fromkeys(formats))


def read_sheets(paper: str | None, sheets: str | None) -> dict[str, Any]:
    """What was typed of the full-size sheets, as keys of ``[sheets]``; empty where nothing was.

    >>> read_sheets("Letter", "panel, guide lines")
    {'paper': 'letter', 'include': ('panel', 'guide lines')}

    Raises:
        UsageError: for a word that is none of theirs.
    """
    found: dict[str, Any] = {}
    if paper is not None:
        chosen = read_words("--paper", paper, PAPERS)
        if len(chosen) > 1:
            raise UsageError(f"--paper takes one of {', '.join(PAPERS)}.")
        found["paper"] = chosen[0]
    if sheets is not None:
        found["include"] = read_words("--sheets", sheets, SHEETS)
    return found


def read_words(option: str, text: str | None, words: Sequence[str]) -> tuple[str, ...]:
    """Words of a list as typed, in order, each once; none where the option was not typed.

    >>> read_words("--order", "One way, least cost", ("least cost", "one way"))
    ('one way', 'least cost')

    Raises:
        UsageError: for a word that is none of them.
    """
    found = []
    for item in read_items(option, text):
        word = " ".join(item.lower().split())
        if word not in words:
            raise UsageError(
                f"{option}: there is no {item!r}{nearest_word(word, words)}; "
                f"there are {', '.join(words[:-1])} and {words[-1]}."
            )
        found.append(word)
    return tuple(dict.fromkeys(found))


def read_items(option: str, text: str | None) -> tuple[str, ...]:
    """What stands between the commas; none where the option was not typed."""
    if text is None:
        return ()
    items = tuple(item.strip() for item in text.split(",") if item.strip())
    if not items:
        raise UsageError(f"{option} needs at least one value.")
    return items


def nearest_word(word: str, words: Sequence[str]) -> str:
    """A guess at what was meant, in brackets; empty where nothing is near."""
    found = difflib.get_close_matches(word.lower(), words, n=1, cutoff=0.6)
    return f" (did you mean {found[0]}?)" if found else ""

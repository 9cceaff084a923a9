"""Names of layers and shapes as they may stand on a screen."""

from __future__ import annotations

import unicodedata

_MOST = 60


def clean(name: str) -> str:
    r"""On one line, without signs that cannot be shown, at most 60 letters.

    >>> clean("  keep\n outs\x07 ")
    'keep outs'
    """
    words = " ".join(name[: 4 * _MOST].split())
    kinds = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
    return "".join(sign for sign in words if unicodedata.category(sign) not in kinds)[
        :_MOST
    ].strip()


def free(name: str, taken: set[str]) -> str:
    """The name, or with a number after it when it is taken; takes it.

    >>> taken = {"label"}
    >>> free("label", taken), free("label", taken)
    ('label 2', 'label 3')
    """
    found, number = name, 2
    while found in taken:
        found, number = f"{name} {number}", number + 1
    taken.add(found)
    return found

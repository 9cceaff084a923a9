"""Letters as they stand on paper: Arabic letters joined, words to the left turned round.

Both by the Unicode Standard: the direction of mixed text by its Annex 9, in a line that runs
to the right, without signs that embed one direction in another; how Arabic letters join from
the decompositions of their presentation forms, which the fonts hold. Scripts whose letters are
stacked or change places, as Devanagari's do, are not set.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from types import MappingProxyType
from typing import Final, TypeAlias

Forms: TypeAlias = Mapping[tuple[str, str], str]
"""What stands for letters in a form; "isolated", "initial", "medial" or "final"."""

_FORM_BLOCKS: Final = (range(0xFB50, 0xFE00), range(0xFE70, 0xFF00))
_JOINS_ALWAYS: Final = "\u0640\u200d"  # the stroke that lengthens, and the sign that joins
_LAM: Final = "\u0644"
_OPEN, _CLOSE = "([{<\u00ab\u2039", ")]}>\u00bb\u203a"
_BRACKETS: Final = MappingProxyType(dict(zip("([{", ")]}", strict=True)))
_MIRRORED: Final = MappingProxyType(dict(zip(_OPEN + _CLOSE, _CLOSE + _OPEN, strict=True)))
_EMBEDS: Final = frozenset(("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI", "BN"))
_BETWEEN: Final = frozenset((("ES", "EN"), ("CS", "EN"), ("CS", "AN")))
"""A separator that stands between two figures of one kind belongs to them."""
_NEUTRAL: Final = frozenset(("B", "S", "WS", "ON"))


def visual(text: str) -> str:
    """A line's letters from left to right on paper.

    >>> visual("A (\u05d0\u05d1) 12"), visual("\u0628\u0628")
    ('A (\u05d1\u05d0) 12', '\ufe90\ufe91')
    """
    if not any(_way(letter) in {"R", "AL", "AN"} for letter in text):
        return text
    kept = "".join(letter for letter in text if _way(letter) not in _EMBEDS or letter == "\u200d")
    line = joined(kept).replace("\u200d", "")
    levels = _levels(line)
    letters = [
        _MIRRORED.get(letter, letter) if level % 2 else letter
        for letter, level in zip(line, levels, strict=True)
    ]
    return "".join(letters[i] for i in _order(levels))


def joined(text: str) -> str:
    """Arabic letters in the forms in which they join, still in the order of reading."""
    forms = _forms()
    solid = [i for i, letter in enumerate(text) if not _transparent(letter)]
    out = list(text)
    skip = -1
    for place, i in enumerate(solid):
        if i == skip:
            continue
        before = place > 0 and _joins(forms, text[solid[place - 1]], text[i])
        after = place + 1 < len(solid) and _joins(forms, text[i], text[solid[place + 1]])
        pair = text[i : i + 2]
        if text[i] == _LAM and len(pair) == 2 and ("isolated", pair) in forms:
            # lam and alef are one sign, which joins to the right alone
            out[i] = forms["final" if before else "isolated", pair]
            out[i + 1] = ""
            skip = i + 1
            continue
        form = {(True, True): "medial", (True, False): "final", (False, True): "initial"}.get(
            (before, after), ""
        )
        out[i] = forms.get((form, text[i]), text[i])
    return "".join(out)


@cache
def _forms() -> Forms:
    """From the decompositions of the presentation forms, which say what each stands for."""
    found: dict[tuple[str, str], str] = {}
    for number in (number for block in _FORM_BLOCKS for number in block):
        tag, *codes = unicodedata.decomposition(chr(number)).split() or [""]
        letters = "".join(chr(int(code, 16)) for code in codes)
        alef = len(letters) == 2 and letters[0] == _LAM and letters[1] in "\u0622\u0623\u0625\u0627"
        if tag.startswith("<") and (len(letters) == 1 or alef):
            found.setdefault((tag[1:-1], letters), chr(number))
    return found


def _transparent(letter: str) -> bool:
    """Whether letters join past it, as past the signs of vowels."""
    return unicodedata.category(letter) in {"Mn", "Me"}


def _joins(forms: Forms, one: str, two: str) -> bool:
    """Whether a letter joins to the next one in the order of reading."""
    onward = one in _JOINS_ALWAYS or ("initial", one) in forms
    back = two in _JOINS_ALWAYS or ("final", two) in forms
    return onward and back


def _way(letter: str) -> str:
    return unicodedata.bidirectional(letter)


def _levels(line: str) -> list[int]:
    """Level of each letter: even to the right, odd to the left."""
    ways = _weak([_way(letter) or "L" for letter in line])
    _pairs(line, ways)
    _neutral(ways)
    level = {"R": 1, "EN": 2, "AN": 2}
    levels = [level.get(way, 0) for way in ways]
    # rule L1: blanks at the end stand as the line runs
    for i in range(len(line) - 1, -1, -1):
        if _way(line[i]) not in {"WS", "S", "B"}:
            break
        levels[i] = 0
    return levels


def _weak(ways: list[str]) -> list[str]:
    """Rules W1 to W7: marks and figures by what stands before them."""
    strong = before = "L"
    for i, way in enumerate(ways):  # W1, W2
        before = before if way == "NSM" else way
        if before in {"L", "R", "AL"}:
            strong = before
        ways[i] = "AN" if before == "EN" and strong == "AL" else before
    ways = ["R" if way == "AL" else way for way in ways]  # W3
    for i in range(1, len(ways) - 1):  # W4
        if ways[i - 1] == ways[i + 1] and (ways[i], ways[i + 1]) in _BETWEEN:
            ways[i] = ways[i + 1]
    for order in (range(len(ways)), range(len(ways) - 1, -1, -1)):  # W5
        last = ""
        for i in order:
            ways[i] = last = "EN" if (ways[i], last) == ("ET", "EN") else ways[i]
    ways = ["ON" if way in {"ES", "ET", "CS"} else way for way in ways]  # W6
    strong = "L"
    for i, way in enumerate(ways):  # W7
        strong = way if way in {"L", "R"} else strong
        ways[i] = "L" if (way, strong) == ("EN", "L") else way
    return ways


def _pairs(line: str, ways: list[str]) -> None:
    """Rule N0: both brackets of a pair run as what they hold does, or what stands before."""
    for first, last in sorted(_paired(line, ways)):
        inside = {_strong(way) for way in ways[first + 1 : last]}
        if not inside - {""}:
            continue
        before = [_strong(way) for way in ways[:first] if _strong(way)]
        way = "L" if "L" in inside or not before else before[-1]
        for at in (first, last):
            ways[at] = way
            for i in range(at + 1, len(ways)):  # marks upon a bracket go with it
                if _way(line[i]) != "NSM":
                    break
                ways[i] = way


def _paired(line: str, ways: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Places of brackets that belong together."""
    opened: list[int] = []
    for i, letter in enumerate(line):
        if ways[i] != "ON":
            continue
        if letter in _BRACKETS:
            opened.append(i)
            continue
        matching = [k for k, at in enumerate(opened) if _BRACKETS[line[at]] == letter]
        if matching:
            yield opened[matching[-1]], i
            del opened[matching[-1] :]


def _strong(way: str) -> str:
    """L or R; figures among words to the left count as these; nothing for the rest."""
    return {"L": "L", "R": "R", "EN": "R", "AN": "R"}.get(way, "")


def _neutral(ways: list[str]) -> None:
    """Rules N1 and N2: what has no direction takes that of its neighbours, if it is one."""
    i = 0
    while i < len(ways):
        end = i
        while end < len(ways) and ways[end] in _NEUTRAL:
            end += 1
        if end > i:
            before = _strong(ways[i - 1]) if i else "L"
            after = _strong(ways[end]) if end < len(ways) else "L"
            ways[i:end] = [before if before == after else "L"] * (end - i)
        i = end + 1


def _order(levels: Sequence[int]) -> list[int]:
    """Rule L2: from the highest level down, every stretch of so high a level is turned round."""
    order = list(range(len(levels)))
    for level in range(max(levels, default=0), 0, -1):
        i = 0
        while i < len(order):
            end = i
            while end < len(order) and levels[order[end]] >= level:
                end += 1
            order[i:end] = order[i:end][::-1]
            i = end + 1
    return order

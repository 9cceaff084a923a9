"""Faults while a table is read: how they are collected, worded and put in file order."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from pydantic import ValidationError
from pydantic_core import InitErrorDetails, PydanticCustomError

from loftline.errors import Fault
from loftline.project.limits import MOST_FAULTS
from loftline.units import show

Where = tuple[str | int, ...]


class Slip(NamedTuple):
    """One fault, placed relative to the table or value that is being read."""

    where: Where
    says: str


class Refused(Exception):  # noqa: N818 - never leaves this package
    """Several faults inside one value, such as a list of points."""

    def __init__(self, slips: Iterable[Slip]) -> None:
        self.slips = tuple(slips)
        super().__init__(len(self.slips))


def as_validation_error(slips: Iterable[Slip], title: str = "project") -> ValidationError:
    """The slips in pydantic's own carrier, which adds the places of outer tables."""
    details: list[InitErrorDetails] = [
        {
            "type": PydanticCustomError("fault", "{sentence}", {"sentence": slip.says}),
            "loc": slip.where,
            "input": None,
        }
        for slip in slips
    ]
    return ValidationError.from_exception_data(title, details)


def slips_of(error: ValidationError) -> Iterator[Slip]:
    """The slips an error carries; pydantic's own wording is never passed on."""
    for item in error.errors(include_url=False):
        if item["type"] == "fault":
            yield Slip(item["loc"], item["ctx"]["sentence"])
        elif item["type"] != "missing":  # missing keys are told by the table itself
            yield Slip(item["loc"], f"found {show(item['input'])}, which does not fit here")


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The valid word that was most likely meant, or ``None``.

    >>> nearest("chanel", ["channel", "grid"]), nearest("Grid", ["grid"]), nearest("x", ["grid"])
    ('channel', 'grid', None)
    """
    if len(word) > 40:  # comparing is quadratic in the length, and no key is that long
        return None
    choices = {choice.casefold(): choice for choice in words}
    plain = word.casefold().strip().replace("-", "_")
    for candidate in (word.casefold().strip(), plain):
        close = difflib.get_close_matches(candidate, choices, n=1, cutoff=0.6)
        if close:
            return choices[close[0]]
    return None


def listed(words: Sequence[str], joiner: str = "or") -> str:
    """Words as a list in a sentence.

    >>> listed(["a", "b", "c"])
    'a, b or c'
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {joiner} {words[-1]}"


def key_path(where: Where) -> str:
    """Path as it is shown: ``keep_outs[0].clearance``, counted from zero.

    >>> key_path(("keep_outs", 0, "clearance"))
    'keep_outs[0].clearance'
    """
    path = ""
    for step in where:
        if isinstance(step, int):
            path += f"[{step}]"
        else:
            plain = step.isascii() and step.replace("-", "_").isidentifier() and len(step) <= 40
            path += ("." if path else "") + (step if plain else show(step))
    return path


def in_file_order(slips: Iterable[Slip], document: Mapping[str, object]) -> list[Fault]:
    """Faults in the order of the file, each once; entries with a name are called by it."""
    ordered = sorted(dict.fromkeys(slips), key=lambda slip: _position(slip.where, document))
    faults = [
        Fault(where=key_path(slip.where), message=slip.says + _entry(slip.where, document))
        for slip in ordered[:MOST_FAULTS]
    ]
    rest = len(ordered) - len(faults)
    if rest > 0:
        faults.append(Fault(where="", message=f"and {rest} more faults; mend these first"))
    return faults


def _position(where: Where, document: object) -> tuple[int, ...]:
    """Rank of a path in the document; what is missing comes first in its table."""
    ranks: list[int] = []
    place = document
    for step in where:
        if isinstance(place, Mapping):
            keys = list(place)
            ranks.append(keys.index(step) if step in place else -1)
            place = place.get(step)
        elif isinstance(place, list | tuple) and isinstance(step, int) and step < len(place):
            ranks.append(step)
            place = place[step]
        else:
            break
    return tuple(ranks)


def _entry(where: Where, document: object) -> str:
    """`` (entry "label")`` when the innermost list entry on the path has a name."""
    name, place = "", document
    for step in where:
        if isinstance(place, Mapping):
            place = place.get(step)
        elif isinstance(place, list | tuple) and isinstance(step, int) and step < len(place):
            place = place[step]
            if isinstance(place, Mapping) and isinstance(place.get("name"), str):
                name = place["name"].strip()
        else:
            break
    return f" (entry {show(name)})" if name and where[-1:] != ("name",) else ""

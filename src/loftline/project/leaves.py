"""Single values of the project file: how each kind is read, bounded and described.

A :class:`Leaf` stands inside ``Annotated[...]``. It reads a raw value into what the
stages use (mm, degrees, tuples) and knows the JSON Schema of what may be written.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Mapping
from copy import deepcopy
from dataclasses import dataclass
from typing import Final, cast

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationError, ValidationInfo
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from loftline.project.faults import Refused, Slip, as_validation_error, listed, nearest
from loftline.project.limits import LARGEST_MM
from loftline.units import Unit, format_length, parse_length, read_finite, show

LENGTH_TEXT: Final = {
    "type": "string",
    "maxLength": 60,
    "pattern": "^[^,]*[0-9\u00bc-\u00be\u2150-\u215e\u2189][^,]*$",
}


_INNER_LISTS: Final = {
    "darts": "panel.darts",
    "folds": "panel.folds",
    "parts": "panel.parts",
    "pockets": "cutting.pockets",
}


class Millimetres(float):
    """A length that is in mm already, whatever the unit of bare numbers is."""

    __slots__ = ()


@dataclass(frozen=True)
class Leaf:
    """How one kind of value is read.

    Attributes:
        read: from raw value and unit of bare numbers to the value; raises ``ValueError``
            with one sentence, or :class:`Refused` with several placed ones.
        schema: JSON Schema of the raw value.
    """

    read: Callable[[object, Unit], object]
    schema: Mapping[str, object]

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Read by this leaf alone; pydantic's own coercions stay out."""
        return core_schema.with_info_plain_validator_function(self._validate)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """What may be written in the file."""
        return deepcopy(dict(self.schema))

    def _validate(self, value: object, info: ValidationInfo) -> object:
        try:
            return self.read(value, units_of(info))
        except ValidationError:
            raise
        except Refused as refused:
            raise as_validation_error(refused.slips) from None
        except ValueError as error:
            raise as_validation_error([Slip((), str(error))]) from None


@dataclass(frozen=True)
class Entries:
    """Bounds the number of entries of a list of tables before any of them is read."""

    most: int
    least: int = 0
    noun: str = "entries"

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """The list as pydantic reads it, behind the count."""
        return core_schema.with_info_before_validator_function(self._count, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """The same with the bounds."""
        return {**handler(schema), "minItems": self.least, "maxItems": self.most}

    def _count(self, value: object, info: ValidationInfo) -> object:
        if isinstance(value, Mapping):
            says = "found one table, should be a list whose entries have double "
            name = info.field_name or ""
            says += f"brackets: write [[{_INNER_LISTS.get(name, name)}]]"
            raise as_validation_error([Slip((), says)])
        try:
            return read_list(value, self.least, self.most, self.noun)
        except ValueError as error:
            raise as_validation_error([Slip((), str(error))]) from None


def units_of(info: ValidationInfo) -> Unit:
    """Unit of bare numbers; mm where nothing else was said."""
    return cast("Unit", (info.context or {}).get("units", "mm"))


def read_list(value: object, least: int, most: int, noun: str) -> list[object]:
    """A list of at least and at most so many; ``ValueError`` in words else."""
    if not isinstance(value, list | tuple):
        raise ValueError(f"found {show(value)}; should be a list of {noun}")  # noqa: TRY004 - one kind
    if len(value) > most:
        raise ValueError(f"found {len(value)} {noun}; at most {most} are read")
    if len(value) < least:
        raise ValueError(f"found {len(value)} {noun}; should be at least {least}")
    return list(value)


def length(
    *, over: float | None = None, least: float | None = None, most: float = LARGEST_MM
) -> Leaf:
    """A length in mm: more than ``over`` or at least ``least``, and at most ``most``."""

    def read(value: object, units: Unit) -> float:
        mm = float(value) if isinstance(value, Millimetres) else parse_length(value, units)
        low = over if over is not None else least
        if (over is not None and mm <= over) or (least is not None and mm < least) or mm > most:
            words = [f"{'more than' if over is not None else 'at least'} {_size(low, units)}"]
            words.append(f"at most {_size(most, units)}")
            raise ValueError(f"found {show(value)}; should be {' and '.join(words)}")
        return mm + 0.0  # no negative zero

    number: dict[str, object] = {"type": "number", "maximum": most}
    # A bare number may be in inches, the largest unit: only this much is certain of it.
    if over is not None:
        number["exclusiveMinimum"] = over / 25.4
    if least is not None:
        number["minimum"] = least / 25.4 if least > 0 else least
    return Leaf(read, {"anyOf": [number, LENGTH_TEXT]})


def number(
    *, over: float | None = None, least: float | None = None, most: float, hint: str = ""
) -> Leaf:
    """A plain number within bounds."""

    def read(value: object, _units: Unit) -> float:
        found = read_finite(value)
        if (over is not None and found <= over) or (least is not None and found < least):
            low = f"more than {over:g}" if over is not None else f"at least {least:g}"
            raise ValueError(f"found {show(value)}; should be {low} and at most {most:g}{hint}")
        if found > most:
            raise ValueError(f"found {show(value)}; should be at most {most:g}{hint}")
        return found + 0.0

    schema: dict[str, object] = {"type": "number", "maximum": most}
    if over is not None:
        schema["exclusiveMinimum"] = over
    if least is not None:
        schema["minimum"] = least
    return Leaf(read, schema)


def whole(least: int, most: int, hint: str = "") -> Leaf:
    """A whole number within bounds."""

    def read(value: object, _units: Unit) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise ValueError(f"found {show(value)}; should be a whole number")  # noqa: TRY004 - one kind
        if not least <= value <= most:
            right = f"from {least} to {most}" if least < most else f"{least}"
            raise ValueError(f"found {show(value)}; should be {right}{hint}")
        return value

    return Leaf(read, {"type": "integer", "minimum": least, "maximum": most})


def flag() -> Leaf:
    """True or false."""

    def read(value: object, _units: Unit) -> bool:
        if not isinstance(value, bool):
            raise ValueError(f"found {show(value)}; should be true or false")  # noqa: TRY004 - one kind
        return value

    return Leaf(read, {"type": "boolean"})


def text(most: int = 100) -> Leaf:
    """Words on one line, not empty; spaces around them are dropped."""

    def read(value: object, _units: Unit) -> str:
        if not isinstance(value, str):
            raise ValueError(f'found {show(value)}; should be words in "quotes"')  # noqa: TRY004 - one kind
        if not value.strip():
            raise ValueError("found an empty text; should be at least one letter")
        if len(value) > most:
            raise ValueError(f"found {len(value)} letters; at most {most} are read")
        if any(_unfit(sign) for sign in value.strip()):
            raise ValueError(f"found {show(value)}; should be words on one line")
        return " ".join(value.split())

    return Leaf(read, {"type": "string", "minLength": 1, "maxLength": most, "pattern": r"\S"})


def _unfit(sign: str) -> bool:
    """Controls, half characters, signs that turn the text round, signs XML cannot hold."""
    joins = sign in "\u200c\u200d"  # emoji and several scripts need them
    kind = unicodedata.category(sign)
    return (kind in {"Cc", "Cf", "Cs", "Zl", "Zp"} and not joins) or sign in "\ufffe\uffff"


def choice(*words: str, later: Mapping[str, str] | None = None) -> Leaf:
    """One of some words; ``later`` holds those of a later version, each with its sentence."""

    def read(value: object, _units: Unit) -> str:
        return read_choice(value, words, later or {})

    return Leaf(read, {"enum": list(words)})


def choices(*words: str, later: Mapping[str, str] | None = None) -> Leaf:
    """A list of some of these words, each at most once."""

    def read(value: object, _units: Unit) -> tuple[str, ...]:
        noun = "words such as " + show(words[0])
        found: list[str] = []
        slips: list[Slip] = []
        for i, item in enumerate(read_list(value, 1, 2 * len(words), noun)):
            try:
                word = read_choice(item, words, later or {})
            except ValueError as error:
                slips.append(Slip((i,), str(error)))
                continue
            if word in found:
                slips.append(Slip((i,), f"found {show(word)} twice; name it once"))
            found.append(word)
        if slips:
            raise Refused(slips)
        return tuple(found)

    items = {"enum": list(words)}
    return Leaf(read, {"type": "array", "items": items, "minItems": 1, "uniqueItems": True})


def read_choice(value: object, words: tuple[str, ...], later: Mapping[str, str]) -> str:
    """One of the words; ``ValueError`` names the nearest valid one else."""
    if isinstance(value, str):
        if value in words:
            return value
        if value in later:
            raise ValueError(f"found {show(value)}; {later[value]}")
        close = nearest(value, words)
        if close is not None:
            raise ValueError(f"found {show(value)}; did you mean {show(close)}?")
    raise ValueError(f"found {show(value)}; should be {listed([show(word) for word in words])}")


def _size(mm: float | None, units: Unit) -> str:
    return "0" if not mm else format_length(mm, units)

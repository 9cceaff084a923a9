"""Base of all tables of the project file: strict, frozen, and telling all faults at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import ClassVar, Self

from pydantic import (
    BaseModel,
    ConfigDict,
    ModelWrapValidatorHandler,
    ValidationError,
    ValidationInfo,
    model_validator,
)

from loftline.project.faults import Slip, as_validation_error, listed, nearest, slips_of
from loftline.project.given import Given
from loftline.project.leaves import units_of
from loftline.project.not_yet import LATER_KEYS
from loftline.units import show

Rules = Callable[[Given], Iterable[Slip]]
_MOST_UNKNOWN = 20  # unknown keys told in one table


class Table(BaseModel):
    """A table of the project file.

    Unknown keys, keys of a later version, missing keys, bad values and keys that clash
    are all told together, so one faulty value does not hide another.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    table: ClassVar[str] = ""
    """Key of this table in the file; empty for the file itself."""

    more_keys: ClassVar[tuple[str, ...]] = ()
    """Keys of the file that are turned into a field of another name."""

    rules: ClassVar[Rules | None] = None
    """Checks that look at several keys; given the raw table, they run in any case."""

    @classmethod
    def prepare(cls, given: dict[str, object]) -> None:
        """Turn keys of the file into fields, in place (the table is a copy)."""

    @classmethod
    def file_keys(cls) -> dict[str, str]:
        """Valid keys of the file, each with what it says."""
        keys = {
            field.alias or name: field.description or ""
            for name, field in cls.model_fields.items()
            if (cls.table, field.alias or name) not in LATER_KEYS
        }
        return keys | dict.fromkeys(cls.more_keys, "")

    @model_validator(mode="wrap")
    @classmethod
    def _read(
        cls, data: object, handler: ModelWrapValidatorHandler[Self], info: ValidationInfo
    ) -> Self:
        if isinstance(data, cls):
            return handler(data)
        if not isinstance(data, Mapping):
            says = f"found {show(data)}; should be a table with keys such as "
            raise as_validation_error([Slip((), says + listed(list(cls.file_keys())[:3], "and"))])
        known, slips = cls._sort_out(data)
        units = units_of(info)
        cross = list(cls.rules(Given(known, units))) if cls.rules is not None else []
        cls.prepare(known)
        slips += [
            Slip((field.alias or name,), f"is missing; needed here: {field.description}")
            for name, field in cls.model_fields.items()
            if field.is_required() and (field.alias or name) not in known
        ]
        try:
            value: Self | None = handler(known)
        except ValidationError as error:
            value = None
            slips += slips_of(error)
        told = {slip.where for slip in slips}
        slips += [slip for slip in cross if slip.where not in told]
        if slips or value is None:
            raise as_validation_error(slips, cls.__name__)
        return value

    @classmethod
    def _sort_out(cls, data: Mapping[object, object]) -> tuple[dict[str, object], list[Slip]]:
        """Known keys with their values, and a slip for each of the others."""
        valid = cls.file_keys()
        known: dict[str, object] = {}
        slips: list[Slip] = []
        unknown = 0
        for key, value in data.items():
            if isinstance(key, str) and key in valid:
                known[key] = value
                continue
            unknown += 1
            if unknown <= _MOST_UNKNOWN:
                shown = key if isinstance(key, str) else show(key)
                slips.append(Slip((shown,), cls._unknown(key)))
        if unknown > _MOST_UNKNOWN:
            where, says = slips[-1]
            rest = unknown - _MOST_UNKNOWN
            slips[-1] = Slip(where, f"{says} (and {rest} more unknown keys after this one)")
        return known, slips

    @classmethod
    def _unknown(cls, key: object) -> str:
        later = LATER_KEYS.get((cls.table, key)) if isinstance(key, str) else None
        if later is not None:
            return later
        close = nearest(key, cls.file_keys()) if isinstance(key, str) else None
        if close is not None:
            return f"unknown key; did you mean {close}?"
        return f"unknown key; valid here: {listed(list(cls.file_keys()), 'and')}"

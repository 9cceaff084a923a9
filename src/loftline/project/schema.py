"""The project file as frozen models: lengths in mm, angles in degrees.

Field names are the file's keys but for ``EdgePlace.from_`` (key ``from``) and
``FillSpec.angles`` (key ``angle``). Rules that look at several keys are in
:mod:`loftline.project.rules`.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from typing import Annotated, ClassVar, Self

from pydantic import Field, model_validator

from loftline.project import rules, work
from loftline.project.costs_table import CostsSpec
from loftline.project.cutting_tables import CuttingSpec
from loftline.project.drawn_rules import drawn
from loftline.project.faults import Slip, as_validation_error
from loftline.project.fill_table import FillSpec
from loftline.project.given import Given
from loftline.project.leaves import Entries, choice, text, whole
from loftline.project.limits import MOST_COPIES, MOST_FILLS, MOST_PIECES
from loftline.project.panel_tables import HardwareSpec, KeepOutSpec, PanelSpec
from loftline.project.sewing_tables import LayersSpec, MachineSpec, QuiltingSpec, ThreadSpec
from loftline.project.table import Rules, Table
from loftline.units import Unit


def _between_tables(given: Given) -> Iterable[Slip]:
    yield from rules.project(given)
    yield from work.capped(given)


class Project(Table):
    """A whole project file, checked."""

    rules: ClassVar[Rules | None] = _between_tables

    format: Annotated[int, whole(1, 1, hint=": this version reads format 1")] = Field(
        1, description="version of the project file, 1"
    )
    name: Annotated[str, text()] = Field("panel", description="name of the bag; files follow it")
    units: Annotated[Unit, choice("mm", "cm", "in")] = Field(
        "mm", description="unit of bare numbers; a text carries its own"
    )
    copies: Annotated[int, whole(1, MOST_COPIES)] = Field(1, description="equal bags to make")
    seed: Annotated[int, whole(0, 2**32 - 1)] = Field(
        0, description="for what wanders: the same seed gives the same lines"
    )
    panel: PanelSpec = Field(description="the outline and what lies around it")
    hardware: Annotated[
        tuple[HardwareSpec, ...], Entries(MOST_PIECES, noun="pieces of hardware")
    ] = Field((), description="hardware on the panel, at most 500 pieces")
    keep_outs: Annotated[tuple[KeepOutSpec, ...], Entries(MOST_PIECES, noun="keep-outs")] = Field(
        (), description="drawn zones that no needle may enter, at most 500"
    )
    fills: Annotated[tuple[FillSpec, ...], Entries(MOST_FILLS, least=1, noun="fills")] = Field(
        description="quilting designs, 1 to 50"
    )
    quilting: QuiltingSpec = Field(QuiltingSpec(), description="how the lines are sewn")
    costs: CostsSpec = Field(
        CostsSpec(), description="what the sewing order saves: travel, thread cuts, turns"
    )
    thread: ThreadSpec = Field(ThreadSpec(), description="the two threads")
    layers: LayersSpec = Field(LayersSpec(), description="what the panel is made of")
    machine: MachineSpec = Field(MachineSpec(), description="the sewing machine")
    cutting: CuttingSpec | None = Field(
        None, description="what is cut from which cloth; without it no cutting list is made"
    )

    @classmethod
    def prepare(cls, given: dict[str, object]) -> None:
        """Give names to what has none: its kind or ``keep-out``, and its place in the list."""
        taken = {
            entry.text("name")
            for key in ("hardware", "keep_outs")
            for entry in Given(given, "mm").tables(key)
        }
        for key in ("hardware", "keep_outs"):
            entries = given.get(key)
            if isinstance(entries, list | tuple) and len(entries) <= MOST_PIECES:
                given[key] = [_named(key, i, entry, taken) for i, entry in enumerate(entries)]

    @model_validator(mode="after")
    def _fits_the_drawing(self) -> Self:
        """What only shows once the drawing is read."""
        if self.panel.drawing is not None:
            slips = list(drawn(self.panel.drawing, Given(self, "mm")))
            if slips:
                raise as_validation_error(slips)
        return self

    @property
    def slug(self) -> str:
        """Stem of the written files: ``Spoke pouch`` becomes ``spoke-pouch``.

        ASCII letters, digits and hyphens only, never empty, at most 60 long, and no name
        that some systems keep for devices.
        """
        plain = unicodedata.normalize("NFKD", self.name.casefold())
        ascii_only = plain.encode("ascii", "ignore").decode("ascii")
        stem = re.sub(r"[^a-z0-9]+", "-", ascii_only)[:60].strip("-") or "panel"
        return f"{stem}-panel" if re.fullmatch(r"con|prn|aux|nul|(com|lpt)[0-9]", stem) else stem


def _named(key: str, index: int, entry: object, taken: set[str | None]) -> object:
    if not isinstance(entry, Mapping) or "name" in entry:
        return entry
    usual = "hardware" if key == "hardware" else "keep-out"
    stem = (Given(entry, "mm").text("kind") or usual)[:80]
    place = index + 1
    while (name := f"{stem} {place}") in taken:
        place += 1
    taken.add(name)
    return {**entry, "name": name}

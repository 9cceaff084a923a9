"""The project file as frozen models: lengths in mm, angles in degrees.

Field names are the file's keys but for ``EdgePlace.from_`` (key ``from``),
``FillSpec.angles`` (key ``angle``) and ``Project.school_class`` (key ``class``). Rules that
look at several keys are in :mod:`loftline.project.rules`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Annotated, ClassVar, Self

from pydantic import Field, model_validator

from loftline.project import rules, work
from loftline.project.class_table import ClassSpec
from loftline.project.costs_table import CostsSpec
from loftline.project.cutting_tables import CuttingSpec
from loftline.project.drawn_rules import drawn
from loftline.project.faults import Slip, as_validation_error
from loftline.project.fill_table import FillSpec
from loftline.project.given import Given
from loftline.project.leaves import Entries, choice, text, whole
from loftline.project.limits import MOST_COPIES, MOST_FILLS, MOST_PIECES
from loftline.project.panel_tables import HardwareSpec, KeepOutSpec, PanelSpec
from loftline.project.region_table import MOST_REGIONS, RegionSpec, region_slips
from loftline.project.seam_table import MOST_SEAMS, SeamSpec, seam_slips
from loftline.project.sewing_tables import LayersSpec, MachineSpec, QuiltingSpec, ThreadSpec
from loftline.project.sheets_table import SheetsSpec
from loftline.project.size_table import MOST_SIZES, SizeSpec, bags_in_all, size_slips, too_large
from loftline.project.sizes import scaled_drawing, sized
from loftline.project.slugs import slug_of
from loftline.project.swatch_table import SwatchSpec, told_twice
from loftline.project.table import Rules, Table
from loftline.units import Unit


def _between_tables(given: Given) -> Iterable[Slip]:
    yield from rules.project(given)
    yield from work.capped(given)
    yield from seam_slips(given)
    yield from told_twice(given)
    yield from region_slips(given)
    yield from size_slips(given)


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
    copies: Annotated[int, whole(1, MOST_COPIES)] = Field(
        1, description="equal bags to make; with sizes it is their sum"
    )
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
    regions: Annotated[tuple[RegionSpec, ...], Entries(MOST_REGIONS, noun="regions")] = Field(
        (),
        description="drawn pieces of the panel that have quilting designs of their own, at most "
        "50; where two lie over each other, the later one is on top",
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
    seams: Annotated[tuple[SeamSpec, ...], Entries(MOST_SEAMS, noun="seams")] = Field(
        (),
        description="seams of the whole bag, at most 100: changes to those that its shape brings "
        "along, and others",
    )
    sizes: Annotated[tuple[SizeSpec, ...], Entries(MOST_SIZES, noun="sizes")] = Field(
        (),
        description="sizes of the bag, at most 24, each planned by itself; only the panel grows, "
        "never hardware, seam allowance, clearance, spacing or stitch",
    )
    sheets: SheetsSpec = Field(
        SheetsSpec(), description="the full-size sheets (pdf): which of them, and the paper"
    )
    school_class: ClassSpec | None = Field(
        None, alias="class", description="a class that sews the bag, for its time"
    )
    swatch: SwatchSpec | None = Field(None, description="what was measured on a sewn test piece")

    @classmethod
    def prepare(cls, given: dict[str, object]) -> None:
        """Give names to what has none: its kind or ``keep-out``, and its place in the list.

        With sizes, ``copies`` is the number of bags of all of them.
        """
        together = bags_in_all(Given(given, "mm"))
        if together is not None and together <= MOST_COPIES:
            given.setdefault("copies", together)
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
        if any(fill.motif is not None for fill in self.fills):
            slips = list(work.capped(Given(self, "mm")))
            if slips:
                raise as_validation_error(slips)
        if self.panel.drawing is not None:
            slips = list(drawn(self.panel.drawing, Given(self, "mm")))
            for i, size in enumerate(self.sizes):
                scale = size.scale or 1.0
                slips += too_large(max(self.panel.drawing.outline.bounds), scale, i, self.units)
                grown = scaled_drawing(self.panel.drawing, scale)
                more = [slip for slip in drawn(grown, Given(self, "mm")) if slip not in slips]
                slips += [Slip(("sizes", i, "scale"), slip.says) for slip in more]
            if slips:
                raise as_validation_error(slips)
        return self

    def sized(self) -> tuple[tuple[str, Project], ...]:
        """Each size by its name, as a project of its own; itself alone where it has no sizes."""
        return sized(self)

    @property
    def threaded(self) -> ThreadSpec:
        """The threads where the machine has them, whichever side is sewn from."""
        return self.thread if self.quilting.sewn_from == "outer" else self.thread.turned_over()

    @property
    def zone_draw_in(self) -> float:
        """Draw-in by which zones reach farther, percent: as told, or as the swatch shrank."""
        if self.swatch is None or self.swatch.after is None:
            return self.quilting.draw_in
        return self.swatch.draw_in

    @property
    def slug(self) -> str:
        """Stem of the written files: ``Spoke pouch`` becomes ``spoke-pouch``.

        ASCII letters, digits and hyphens only, never empty, at most 60 long, and no name
        that some systems keep for devices.
        """
        return slug_of(self.name, "panel")


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

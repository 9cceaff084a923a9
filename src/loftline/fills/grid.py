"""Grids: two or three families of lines that cross."""

from __future__ import annotations

from dataclasses import replace

from loftline.clips import Cuts
from loftline.errors import Step
from loftline.fills.fill_lines import FillLines
from loftline.fills.straight import family
from loftline.project import FillSpec
from loftline.values import Field, Quality


def grid(field: Field, spec: FillSpec, _seed: int, _quality: Quality, _step: Step) -> FillLines:
    """Families of one spacing, each with a line through the part's centre, or the given place.

    So three families 60 degrees apart meet three lines in a point everywhere: of the distances
    of a place from the three lines through the centre, one is the sum of the others.
    """
    field = replace(field, centre=spec.start or field.centre)
    made = [family(field, angle, spec.spacing) for angle in spec.angles]
    cuts = Cuts.joined([lines.cuts for lines in made])
    return FillLines.of([lines.pieces for lines in made], spec.angles, cuts=cuts)

"""Grids: two or three families of lines that cross."""

from __future__ import annotations

from dataclasses import replace

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
    if spec.start_at != "centre":
        field = replace(field, centre=spec.start_at)
    return FillLines.of([family(field, a, spec.spacing) for a in spec.angles], spec.angles)

"""The meander as a fill."""

from __future__ import annotations

import math

from loftline.errors import Step
from loftline.fills.fill_lines import FillLines
from loftline.fills.meander import meander
from loftline.project import FillSpec
from loftline.values import Field, Quality


def wandering(field: Field, spec: FillSpec, seed: int, _quality: Quality, step: Step) -> FillLines:
    """One closed line for each piece of the field."""
    loops, findings = meander(field.region, spec.spacing, seed, step)
    return FillLines.of([loops], [math.nan], closed=True, findings=findings)

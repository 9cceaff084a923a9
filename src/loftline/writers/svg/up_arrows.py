"""Which way is up in the closed bag, told on each part of the flat panel."""

from __future__ import annotations

import math

from loftline.values import Panel, Point
from loftline.writers.svg import style
from loftline.writers.svg.marks import Element, arrow_head, group, path, straight
from loftline.writers.svg.style import Scale

UP_WORDS = "up in the bag"
LENGTH = 2.4
"""Ems."""


def ups(panel: Panel) -> dict[str, Point]:
    """For each part that is seen in the closed bag, the direction that is up there."""
    return {shown.part: shown.up for face in panel.closed for shown in face.parts}


def up_arrow(middle: Point, up: Point, scale: Scale, length: float = LENGTH) -> Element:
    """A slim arrow about a middle on the page; ``up`` is told on the panel, y up."""
    em, (x, y) = scale.em, middle
    heading = math.atan2(-up[1], up[0])
    dx, dy = (0.5 * length * em * turn for turn in (math.cos(heading), math.sin(heading)))
    arrow = group(class_="up")
    tail, neck = (x - dx, y - dy), (x + 0.6 * dx, y + 0.6 * dy)
    arrow.add(straight(tail, neck, **style.thin(scale, style.SOFT_INK, 0.09)))
    arrow.add(path(arrow_head((x + dx, y + dy), heading, 0.8 * em), fill=style.SOFT_INK))
    return arrow

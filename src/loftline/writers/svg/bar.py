"""A bar to measure the picture with."""

from __future__ import annotations

from loftline.values import Point
from loftline.writers.svg import style
from loftline.writers.svg.marks import Element, box, group, words
from loftline.writers.svg.style import Scale


def scale_bar(at: Point, parts: int, length: float, text: str, scale: Scale) -> Element:
    """A bar in dark and light parts, ``length`` mm together, with a text below it."""
    em = scale.em
    part, thick = length / parts, 0.42 * em
    bar = group("scale-bar")
    for i in range(parts):
        look = style.thin(scale, style.INK) | {"fill": style.PAPER if i % 2 else style.INK}
        bar.add(box((at[0] + i * part, at[1]), part, thick, **look))
    below = (at[0], at[1] + thick + 1.3 * em)
    bar.add(words(text, below, 0.9 * em, fill=style.SOFT_INK))
    return bar

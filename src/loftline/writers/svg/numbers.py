"""A numbered ring beside the start of each run, in page coordinates."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from loftline.values import Point
from loftline.writers.svg import style
from loftline.writers.svg.labels import Box, Frame, Taken
from loftline.writers.svg.marks import Element, box, disc, group, num, straight, words
from loftline.writers.svg.strands import RunMark
from loftline.writers.svg.style import Scale

MOST = 300
"""Beyond this many the numbers would hide the lines; dots and bars stay."""

HALF_HEIGHT = 0.85


def draw_run_numbers(marks: Sequence[RunMark], frame: Frame, scale: Scale, taken: Taken) -> Element:
    """Each number as near its start as there is room, behind the start if it can be."""
    em = scale.em
    numbers = group("run-numbers")
    marks = marks[:MOST]
    for mark in marks:
        for x, y in (frame.place(mark.start), frame.place(mark.end)):
            taken.take((x - 0.25 * em, y - 0.25 * em, x + 0.25 * em, y + 0.25 * em))
    for mark in marks:
        start = frame.place(mark.start)
        half = ring_width(mark.run, em) / 2
        # on the page, with y down, headings turn the other way
        places = list(_beside(start, math.pi - mark.leaving, half, em))
        at = next((p for p in places if taken.free(_cover(p, half, em))), places[0])
        taken.take(_cover(at, half, em))
        if math.dist(at, start) > half + em:
            line = style.thin(scale, style.run_colour(mark.run), 0.07)
            numbers.add(straight(start, at, **line))
        numbers.add(ring_number(at, mark.run, em))
    return numbers


def _cover(at: Point, half: float, em: float) -> Box:
    tall = HALF_HEIGHT * em
    return (at[0] - half, at[1] - tall, at[0] + half, at[1] + tall)


def _beside(start: Point, behind: float, half: float, em: float) -> Iterator[Point]:
    """Places round a start, nearest first, those behind it first."""
    for gap in (0.35, 1.3, 2.6, 4.2, 6.0):
        distance = half + gap * em
        for turn in (0, 40, -40, 80, -80, 120, -120, 160, -160):
            angle = behind + math.radians(turn)
            yield (start[0] + distance * math.cos(angle), start[1] + distance * math.sin(angle))


def ring_width(run: int, em: float) -> float:
    """Width of the ring round a run's number."""
    return (2 * HALF_HEIGHT + 0.55 * max(0, len(str(run + 1)) - 2)) * em


def ring_number(at: Point, run: int, em: float) -> Element:
    """A run's number (counted from 1) in a ring of its colour."""
    colour = style.run_colour(run)
    half, tall = ring_width(run, em) / 2, HALF_HEIGHT * em
    look = {"fill": style.PAPER, "stroke": colour, "stroke_width": num(0.14 * em)}
    ring = group(class_="run-number")
    if half > tall:
        ring.add(box((at[0] - half, at[1] - tall), 2 * half, 2 * tall, rx=num(tall), **look))
    else:
        ring.add(disc(at, half, **look))
    word = {"text_anchor": "middle", "font_weight": "bold", "fill": colour}
    ring.add(words(str(run + 1), (at[0], at[1] + 0.34 * em), 0.95 * em, **word))
    return ring

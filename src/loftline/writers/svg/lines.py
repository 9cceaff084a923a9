"""What is sewn in the picture, in panel coordinates: a path for each run and kind."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from loftline.values import KIND_WORDS, Kind, Point
from loftline.writers.svg import style
from loftline.writers.svg.marks import (
    Element,
    arrow_head,
    disc,
    group,
    lines_path,
    num,
    path,
    straight,
)
from loftline.writers.svg.strands import RunMark, Strands, place_arrows
from loftline.writers.svg.style import Look, Scale

ARROWS_EVERY = 40.0
"""Ems between the arrows of one long line."""


def line_look(kind: Kind, run: int, scale: Scale) -> Look:
    """How a kind of a run is drawn; told apart by dashes and width as well as by colour."""
    width, colour = scale.stroke, style.run_colour(run)
    look = {"fill": "none", "stroke": colour, "stroke_linejoin": "round"}
    slender = {"stroke_width": num(0.66 * width)}
    match kind:
        case Kind.TRAVEL:
            return look | slender | style.travel_dashes(scale)
        case Kind.BASTING:
            return look | slender | style.basting_dashes(scale) | {"stroke": style.FAINT_INK}
        case Kind.REGISTRATION:
            return look | slender | {"stroke": style.INK}
        case Kind.DOUBLE:
            pale = {"stroke": style.tint(colour, 0.3), "stroke_linecap": "round"}
            return look | pale | {"stroke_width": num(5 * width)}
        case _:
            return look | {"stroke_width": num(width)} | style.run_dashes(run, scale)


def draw_runs(strands: Strands, scale: Scale) -> list[Element]:
    """All runs; what is sewn over again lies as a pale band under its line."""
    doubles, runs = group("sewn-over-again"), group("runs")
    for run in np.unique(strands.run).tolist():
        name = f"run-{run + 1}"
        lines = group(name, class_="run")
        for kind in Kind:
            points, starts = strands.pick(run, kind)
            if not len(points):
                continue
            look = line_look(kind, run, scale)
            curve = path(lines_path(points, starts), class_=f"{KIND_WORDS[kind]} {name}", **look)
            (doubles if kind == Kind.DOUBLE else lines).add(curve)
        runs.add(lines)
    return [doubles, runs]


def draw_directions(strands: Strands, scale: Scale) -> Element:
    """Arrow heads along the lines."""
    arrows = group("directions", stroke=style.FABRIC, stroke_width=num(0.05 * scale.em))
    for run, tip, heading in place_arrows(strands, scale.arrow, ARROWS_EVERY * scale.em):
        arrows.add(path(arrow_head(tip, heading, scale.arrow), fill=style.run_colour(run)))
    return arrows


def draw_ends(marks: Sequence[RunMark], scale: Scale) -> Element:
    """A dot where a run starts, a bar across its end."""
    ends = group("run-ends")
    for mark in marks:
        colour = style.run_colour(mark.run)
        ends.add(disc(mark.start, 0.26 * scale.em, class_="run-start", fill=colour))
        ends.add(end_bar(mark.end, mark.arriving, colour, scale))
    return ends


def end_bar(at: Point, heading: float, colour: str, scale: Scale) -> Element:
    """The bar across the end of a run, with a pale edge so that it stands out on lines."""
    half = 0.6 * scale.em
    dx, dy = -half * math.sin(heading), half * math.cos(heading)
    start, end = (at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy)
    bar = group(class_="run-end")
    for width, stroke in ((0.42, style.PAPER), (0.24, colour)):
        bar.add(straight(start, end, stroke=stroke, stroke_width=num(width * scale.em)))
    return bar

"""The board of all designs: nothing left out, all on one bag, no line where none may lie."""

from __future__ import annotations

from functools import cache
from typing import Any, get_args

import numpy as np
import pytest
import shapely

from design_board import BAG, bag_tables, design_names, drawn
from loftline.patterns import PATTERNS
from loftline.project import motif_names
from loftline.project.fill_table import SETTINGS
from loftline.project.meander_table import Handwriting
from loftline.values import Lines, Panel

NAMES = design_names()
FILLS: list[dict[str, Any]] = [fill for name in NAMES for fill in bag_tables(name)["fills"]]


@cache
def bag(name: str) -> tuple[Panel, Lines]:
    return drawn(name)


def strokes(lines: Lines) -> shapely.MultiLineString:
    return shapely.MultiLineString([lines.line(i) for i in range(len(lines))])


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("pattern", tuple(PATTERNS)),
        ("motif", motif_names()),
        ("setting", tuple(SETTINGS)),
        ("handwriting", get_args(Handwriting)[1:]),
        ("match", ("closed",)),
        ("at_side_seam", ("straight",)),
        ("at_keep_outs", ("bend",)),
        ("joined", (False,)),
    ],
)
def test_every_choice_is_shown(key: str, words: tuple[object, ...]) -> None:
    assert {fill.get(key) for fill in FILLS} >= set(words)


def test_every_number_of_a_channel_is_shown() -> None:
    keys = {key for fill in FILLS for key in fill}
    assert keys >= {"wave_height", "uneven", "paired", "even_ends", "spacing_to", "entry"}


def test_all_are_drawn_on_the_same_bag() -> None:
    for name in NAMES:
        tables = bag_tables(name)
        assert [tables[key] for key in ("panel", "hardware", "keep_outs")] == [
            BAG[key] for key in ("panel", "hardware", "keep_outs")
        ]


@pytest.mark.parametrize("name", NAMES)
def test_no_line_enters_a_keep_out_or_leaves_the_ground(name: str) -> None:
    panel, lines = bag(name)
    assert len(panel.keep_outs) == 4
    assert shapely.covers(panel.sewable.buffer(1e-6), strokes(lines))


@pytest.mark.parametrize("name", NAMES)
def test_each_part_is_quilted(name: str) -> None:
    panel, lines = bag(name)
    sewn = strokes(lines)
    assert all(shapely.intersection(part.area, sewn).length > 400 for part in panel.parts)


@pytest.mark.parametrize("name", NAMES)
def test_no_place_is_starved(name: str) -> None:
    """No circle as wide as three spacings is free of lines, a motif's tile and a half."""
    panel, lines = bag(name)
    finished = panel.outline.buffer(-panel.seam_allowance)
    ground = shapely.intersection(panel.sewable, finished)
    widest = 30.0 if "motif" in bag_tables(name)["fills"][0] else 24.0
    x0, y0, x1, y1 = ground.bounds
    spots = np.stack(np.meshgrid(np.arange(x0, x1, 2), np.arange(y0, y1, 2)), -1).reshape(-1, 2)
    spots = spots[shapely.contains_xy(ground, *spots.T)]
    drawn_and_edge = shapely.union_all([strokes(lines), ground.boundary])
    away = shapely.distance(drawn_and_edge, shapely.points(spots))
    assert 2 * away.max() < widest

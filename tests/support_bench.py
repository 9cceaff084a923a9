"""Panels that are timed, from a pouch to several metres."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from loftline.fills import make_fields, make_lines
from loftline.panel import make_panel
from loftline.project import Project, parse_project
from loftline.runs import make_network, plan_runs
from loftline.values import Lines, Network, Panel, Runs

MAGNETS = [
    {"name": "left", "kind": "sew-in magnet", "diameter": 18, "at": [75, 378], "mate": True},
    {"name": "right", "kind": "sew-in magnet", "diameter": 18, "at": [175, 378], "mate": True},
]
LABEL = {"name": "label", "shape": "rectangle", "at": [125, 130], "width": 60, "height": 25}
POUCH = {
    "shape": "folded pouch",
    "width": 250,
    "body": 150,
    "flap": 110,
    "flap_inset": 3,
    "corner_radius": 45,
}
PANEL = {"shape": "rectangle", "width": 330, "height": 546, "corner_radius": 30}
TWO = [
    {"name": "a", "shape": "circle", "diameter": 27, "at": [110, 180]},
    {"name": "b", "shape": "circle", "diameter": 27, "at": [220, 380]},
]


def _twenty() -> list[dict[str, Any]]:
    rng = np.random.default_rng(5)
    places: list[tuple[float, float]] = []
    while len(places) < 20:
        x, y = (float(c) for c in rng.uniform(100, 2300, 2))
        if all(np.hypot(x - a, y - b) > 80 for a, b in places):
            places.append((round(x, 1), round(y, 1)))
    return [
        {"name": f"k{i}", "shape": "circle", "diameter": 27, "at": list(at)}
        for i, at in enumerate(places)
    ]


CASES: Mapping[str, dict[str, Any]] = {
    "demo": {
        "panel": POUCH,
        "hardware": MAGNETS,
        "keep_outs": [LABEL],
        "fills": [{"pattern": "channel", "angle": 45, "spacing": 12}],
    },
    "channel 12": {
        "panel": PANEL,
        "keep_outs": TWO,
        "fills": [{"pattern": "channel", "angle": 45, "spacing": 12}],
    },
    "grid 20": {
        "panel": PANEL,
        "keep_outs": TWO,
        "fills": [{"pattern": "grid", "angle": 45, "spacing": 20}],
    },
    "grid 6": {
        "panel": PANEL,
        "keep_outs": TWO,
        "fills": [{"pattern": "grid", "angle": 45, "spacing": 6}],
    },
    "meander 8": {
        "panel": PANEL,
        "keep_outs": TWO,
        "fills": [{"pattern": "meander", "spacing": 8}],
    },
    "large grid 12": {
        "panel": PANEL | {"width": 2400, "height": 2400},
        "keep_outs": _twenty(),
        "fills": [{"pattern": "grid", "angle": 45, "spacing": 12}],
    },
}


def laid_out(document: dict[str, Any]) -> tuple[Panel, Lines]:
    return drawn(parse_project({"format": 1, "name": "bench", "seed": 7, **document}))


def drawn(project: Project) -> tuple[Panel, Lines]:
    panel = make_panel(project)
    return panel, make_lines(project, panel, make_fields(project, panel))


def square(side: int, keep_outs: int) -> dict[str, Any]:
    """A grid of 12 mm on a square panel with round keep-outs."""
    rng = np.random.default_rng(5)
    places: list[tuple[float, float]] = []
    while len(places) < keep_outs:
        x, y = (round(float(c), 1) for c in rng.uniform(40, side - 40, 2))
        if all(np.hypot(x - a, y - b) > 60 for a, b in places):
            places.append((x, y))
    return {
        "panel": {"shape": "rectangle", "width": side, "height": side, "corner_radius": 30},
        "keep_outs": [
            {"name": f"k{i}", "shape": "circle", "diameter": 27, "at": list(at)}
            for i, at in enumerate(places)
        ],
        "fills": [{"pattern": "grid", "angle": 45, "spacing": 12}],
    }


def strip(length: float, keep_outs: int) -> Project:
    """Channels 3 mm apart on a strip 300 mm wide, longer and with more than a file may ask for."""
    project = parse_project(
        {
            "format": 1,
            "name": "bench",
            "seed": 7,
            "panel": {"shape": "rectangle", "width": 1000, "height": 300},
            "keep_outs": [{"name": "k", "shape": "circle", "diameter": 27, "at": [100, 150]}],
            "fills": [{"pattern": "channel", "angle": 60, "spacing": 3}],
        }
    )
    across = np.random.default_rng(5).uniform(75, 225, keep_outs)
    along = np.linspace(100, length - 100, keep_outs)
    zones = [
        project.keep_outs[0].model_copy(update={"name": f"k{i}", "at": at})
        for i, at in enumerate(zip(along.tolist(), across.tolist(), strict=True))
    ]
    panel = project.panel.model_copy(update={"width": length})
    return project.model_copy(update={"panel": panel, "keep_outs": tuple(zones)})


def mixed(side: int, keep_outs: int) -> Project:
    """A square in four parts: channels, a grid of 6 mm, rings, a meander."""
    quarter = side / 4
    folds = [
        {"name": f"fold {i}", "from": [0, quarter * i], "to": [side, quarter * i]}
        for i in (1, 2, 3)
    ]
    parts = [{"name": name, "at": [side / 2, quarter * (i + 0.5)]} for i, name in enumerate("abcd")]
    document = square(side, keep_outs) | {
        "fills": [
            {"part": "a", "pattern": "channel", "angle": 45, "spacing": 12},
            {"part": "b", "pattern": "grid", "angle": 45, "spacing": 40},
            {"part": "c", "pattern": "echo", "spacing": 12, "joined": False},
            {"part": "d", "pattern": "meander", "spacing": 40},
        ]
    }
    document["panel"] |= {"folds": folds, "parts": parts}
    project = parse_project({"format": 1, "name": "bench", "seed": 7, **document})
    # closer than a file may ask for on the largest
    spacing = (12.0, 6.0, 12.0, 20.0)
    fills = [
        fill.model_copy(update={"spacing": mm})
        for fill, mm in zip(project.fills, spacing, strict=True)
    ]
    return project.model_copy(update={"fills": tuple(fills)})


def ordered(panel: Panel, lines: Lines) -> tuple[Network, Runs]:
    network = make_network(panel, lines)
    return network, plan_runs(network, seed=7)

"""Panels that are timed, from a pouch to several metres."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from loftline.fills import make_fields, make_lines
from loftline.panel import make_panel
from loftline.project import parse_project
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
    project = parse_project({"format": 1, "name": "bench", "seed": 7, **document})
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


def ordered(panel: Panel, lines: Lines) -> tuple[Network, Runs]:
    network = make_network(panel, lines)
    return network, plan_runs(network, seed=7)

"""Runs and needle points of a panel, each hooping planned on its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely

from loftline.errors import Step
from loftline.hooped.first import with_first
from loftline.hooping import (
    Division,
    Share,
    aside_of_holes,
    divisions,
    in_field,
    join_networks,
    join_runs,
    join_sewn,
    mark_again,
    settled,
    without_border_steps,
)
from loftline.panel import panel_within
from loftline.project import Project
from loftline.runs import FULL, QUICK, Practice, costs_of, make_network, plan_orders
from loftline.stitches import make_sewn
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Area, Floats, Hooping, Kind, Lines, Network, Panel, Runs, Sewn

__all__ = ["Laid", "Placed", "lay_runs", "place", "stitch"]

_ROUNDING_MM: Final = 0.15
_BESIDE_MM: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """How a panel is hooped, with the network of each hooping.

    Attributes:
        panels, networks: of each share; the ways end where the field does.
        network: all of them side by side.
    """

    division: Division
    panels: tuple[Panel, ...]
    networks: tuple[Network, ...]
    network: Network


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """The runs of each hooping, and all of them joined."""

    parts: tuple[Runs, ...]
    runs: Runs


def place(project: Project, panel: Panel, lines: Lines, network: Network, step: Step) -> Placed:
    """Divide a panel among hoopings and node what each of them sews.

    Of arrangements with as few hoopings the one is taken whose runs, planned quickly, cost least.

    Args:
        project: the hoops.
        panel: whole.
        lines: settled, as the network has them.
        network: of the whole panel.
        step: progress callback.
    """
    choices = [
        _placed(project, panel, network, division, step)
        for division in divisions(project, panel, lines, network)
    ]
    if len(choices) == 1:
        return choices[0]
    return min(choices, key=lambda placed: _quick_cost(project, lines, placed, step))


def _placed(
    project: Project, panel: Panel, network: Network, division: Division, step: Step
) -> Placed:
    if division.whole:
        return Placed(division=division, panels=(panel,), networks=(network,), network=network)
    panels: list[Panel] = []
    networks: list[Network] = []
    for share in division.shares:
        field = share.hooping.place
        own = panel if field is None else panel_within(project, panel, field)
        panels.append(own)
        noded = make_network(own, share.lines, step, costs=costs_of(project))
        networks.append(without_border_steps(noded, share.tips, network))
    parts = list(zip(division.shares, networks, strict=True))
    return Placed(
        division=division,
        panels=tuple(panels),
        networks=tuple(networks),
        network=join_networks(parts, network),
    )


def _quick_cost(project: Project, lines: Lines, placed: Placed, step: Step) -> float:
    """What an arrangement costs in the usual order; the same however long is looked later."""
    (laid,) = lay_runs(project, lines, placed, ["least cost"], step, QUICK)
    return laid.runs.cost


def lay_runs(
    project: Project,
    lines: Lines,
    placed: Placed,
    orders: Sequence[str],
    step: Step,
    effort: float = FULL,
) -> list[Laid]:
    """The runs of several sewing orders, in each of them hooping by hooping."""
    practice = _practice(project, placed.panels[0])
    found: list[list[Runs]] = []
    for share, network in zip(placed.division.shares, placed.networks, strict=True):
        found.append(
            plan_orders(
                network,
                orders,
                project.seed,
                step,
                lines=lines if placed.division.whole else share.lines,
                turn_cost=costs_of(project).turn,
                practice=practice,
                effort=effort,
            )
        )
    laid = []
    for parts in zip(*found, strict=True):
        runs = parts[0] if len(parts) == 1 else join_runs(parts, placed.networks)
        laid.append(Laid(parts=tuple(parts), runs=runs))
    return laid


def stitch(project: Project, placed: Placed, laid: Laid) -> tuple[Sewn, tuple[Hooping, ...]]:
    """Needle points of all hoopings in sewing order, and which of them are whose."""
    parts: list[tuple[Hooping, Sewn]] = []
    shares: Sequence[Share] = placed.division.shares
    kept = _hugged(placed.panels[0]) if len(shares) > 1 else None
    longest = project.machine.longest_stitch - _ROUNDING_MM
    for share, panel, network, runs in zip(
        shares, placed.panels, placed.networks, laid.parts, strict=True
    ):
        sewn = in_field(share.hooping, make_sewn(project, panel, network, runs))
        sewn = mark_again(share, sewn)
        sewn = aside_of_holes(share, sewn, _holes(parts), kept, longest)
        sewn = with_first(project, panel, share, sewn)
        hooping = settled(share, sewn.origin) if len(sewn) else share.hooping
        parts.append((hooping, sewn))
    if len(parts) > 1:
        return join_sewn(parts)
    ((hooping, sewn),) = parts
    return sewn, (replace(hooping, first=0, last=len(sewn) - 1, origin=sewn.origin),)


def _holes(parts: Sequence[tuple[Hooping, Sewn]]) -> Floats:
    """Needle points of lines that hoopings leave, ``(k, 2)`` mm."""
    left = [np.isin(sewn.kind, (Kind.LINE, Kind.DOUBLE)) for _, sewn in parts]
    points = [
        np.column_stack([sewn.x[there], sewn.y[there]])
        for (_, sewn), there in zip(parts, left, strict=True)
    ]
    return np.concatenate([np.empty((0, 2)), *points]) * NEEDLE_GRID_MM


def _hugged(panel: Panel) -> Area:
    """Near keep-outs and darts, where needle points were placed with care."""
    zones = [zone.zone or zone.outline.buffer(zone.reach) for zone in panel.keep_outs]
    zones += [dart.zone for dart in panel.darts]
    near: Area = shapely.buffer(shapely.union_all(zones), _BESIDE_MM)
    shapely.prepare(near)
    return near


def laid_corners(panel: Panel) -> Floats:
    """Corners of the panel as it lies under the needle, overhang included."""
    laid = panel.outline.buffer(panel.overhang) if panel.overhang > 0 else panel.outline
    corners: Floats = shapely.get_coordinates(laid.convex_hull)
    return corners


def _practice(project: Project, panel: Panel) -> Practice:
    """How the maker sews; the throat is a hand-guided panel's matter here."""
    machine, back = project.machine, project.quilting.sewn_from == "back"
    throat = machine.throat if machine.guided == "hand" else None
    return Practice(
        closed_edge=panel.closed_edge,
        # seen through a panel that lies outer fabric down, right and left change places
        bar_right=(machine.guide_bar == "right") != back,
        throat=throat,
        corners=laid_corners(panel) if throat is not None else None,
        outer_down=back,
    )

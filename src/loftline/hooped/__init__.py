"""Runs and needle points of a panel, each hooping planned on its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely

from loftline.errors import Step
from loftline.hooped.first import with_first
from loftline.hooping import (
    Division,
    Share,
    divide,
    join_networks,
    join_runs,
    join_sewn,
    mark_again,
    without_border_steps,
)
from loftline.panel import panel_within
from loftline.project import Project
from loftline.runs import FULL, Practice, costs_of, make_network, plan_orders
from loftline.stitches import make_sewn
from loftline.values import Floats, Hooping, Lines, Network, Panel, Runs, Sewn

__all__ = ["Laid", "Placed", "lay_runs", "place", "stitch"]


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

    Args:
        project: the hoops.
        panel: whole.
        lines: settled, as the network has them.
        network: of the whole panel.
        step: progress callback.
    """
    division = divide(project, panel, lines, network)
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
    for share, panel, network, runs in zip(
        shares, placed.panels, placed.networks, laid.parts, strict=True
    ):
        sewn = mark_again(share, make_sewn(project, panel, network, runs))
        sewn = with_first(project, panel, share, sewn)
        parts.append((share.hooping, sewn))
    if len(parts) > 1:
        return join_sewn(parts)
    ((hooping, sewn),) = parts
    return sewn, (replace(hooping, first=0, last=len(sewn) - 1, origin=sewn.origin),)


def laid_corners(panel: Panel) -> Floats:
    """Corners of the panel as it lies under the needle, overhang included."""
    laid = panel.outline.buffer(panel.overhang) if panel.overhang > 0 else panel.outline
    corners: Floats = shapely.get_coordinates(laid.convex_hull)
    return corners


def _practice(project: Project, panel: Panel) -> Practice:
    """How the maker sews; the throat is a hand-guided panel's matter here."""
    machine = project.machine
    throat = machine.throat if machine.guided == "hand" else None
    return Practice(
        closed_edge=panel.closed_edge,
        bar_right=machine.guide_bar == "right",
        throat=throat,
        corners=laid_corners(panel) if throat is not None else None,
    )

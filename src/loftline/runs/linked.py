"""A network whose pieces are rings and lines: each in order round it, and the steps between."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.runs.facets import beside, round_piece
from loftline.runs.rounds import FAR, Ring
from loftline.runs.rural import Rural
from loftline.values import Bools, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Links:
    """All steps between two pieces, seen from the first; nodes numbered round the pieces."""

    here: Ints
    there: Ints
    cost: Ints
    edge: Ints


def rings_in_order(rural: Rural, planned: Bools | None = None) -> list[Ring] | None:
    """Every piece but the hub, gone round; ``None`` where one is more than a ring or line.

    Args:
        rural: the task.
        planned: the first so many pieces may be of any kind, since they are sewn through
            already; whether a run ends on each.
    """
    at_hub = np.flatnonzero(rural.origin < 0)
    count = rural.pieces - bool(len(at_hub))
    a, b = rural.piece[rural.u], rural.piece[rural.v]
    first = 0 if planned is None else len(planned)
    inner = np.flatnonzero((a == b) & (a >= first))
    ends = np.concatenate([rural.u[inner], rural.v[inner]])
    if count < 2 or np.bincount(ends).max(initial=0) > 2:
        return None
    end = np.full(rural.size, FAR)
    hub = np.full(rural.size, -1)
    node = np.minimum(rural.u[at_hub], rural.v[at_hub])
    end[node], hub[node] = rural.cost[at_hub], at_hub
    near = beside(rural, inner)
    order = np.argsort(rural.piece, kind="stable")
    parts = np.split(order, np.searchsorted(rural.piece[order], np.arange(count + 1)))
    rings = []
    for piece, members in enumerate(parts[1:-1]):
        if planned is not None and piece < first:
            at = _doors(rural, members, end, ends=len(at_hub) > 0)
            rings.append(
                Ring(
                    nodes=at,
                    arc=np.full(len(at), FAR),
                    edge=np.full(len(at), -1),
                    end=end[at],
                    hub=hub[at],
                    odd=rural.odd[at],
                    met=bool(planned[piece]),
                )
            )
            continue
        names, edges = (np.array(x, np.int64) for x in round_piece(members.tolist(), near))
        rings.append(
            Ring(
                nodes=names,
                arc=np.where(edges >= 0, rural.cost[edges], FAR),
                edge=edges,
                end=end[names],
                hub=hub[names],
                odd=rural.odd[names],
            )
        )
    return rings


def _doors(rural: Rural, members: Ints, end: Ints, *, ends: bool) -> Ints:
    """Nodes of a piece that a step leads out of, and where a run ends at the least cost."""
    out = np.zeros(rural.size, bool)
    apart = rural.piece[rural.u] != rural.piece[rural.v]
    apart &= rural.origin >= 0
    out[rural.u[apart]] = out[rural.v[apart]] = True
    if ends:
        out[members[end[members].argmin()]] = True
    return members[out[members]]


def links_between(rural: Rural, rings: list[Ring]) -> dict[tuple[int, int], Links]:
    """All steps between each two pieces, seen from either."""
    count = len(rings)
    place = np.full(rural.size, -1)
    for ring in rings:
        place[ring.nodes] = np.arange(len(ring.nodes))
    a, b = rural.piece[rural.u], rural.piece[rural.v]
    step = np.flatnonzero((a != b) & (a >= 0) & (b >= 0) & (a < count) & (b < count))
    one = np.concatenate([a[step], b[step]])
    other = np.concatenate([b[step], a[step]])
    here = np.concatenate([rural.u[step], rural.v[step]])
    there = np.concatenate([rural.v[step], rural.u[step]])
    edge = np.concatenate([step, step])
    key = one * count + other
    order = np.argsort(key, kind="stable")
    names, begin = np.unique(key[order], return_index=True)
    links = {}
    end = np.append(begin, len(order))[1:]
    for k, first, last in zip(names.tolist(), begin.tolist(), end.tolist(), strict=True):
        at = order[first:last]
        links[k // count, k % count] = Links(
            here=place[here[at]],
            there=place[there[at]],
            cost=rural.cost[edge[at]],
            edge=edge[at],
        )
    return links

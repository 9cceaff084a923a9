"""Pairing places off at the greatest gain, each cluster of near places by itself.

A matching of many places takes long because every place may matter to every other. Where
only near ones may be paired, the places fall into clusters that know nothing of each other.
What joins them again is that one run at least must remain; this is settled last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from importlib import import_module
from typing import Any

import numpy as np

from loftline.errors import Step, does_nothing
from loftline.runs.chains import Gains, go_on, most_gain, with_two_left
from loftline.runs.connected import components
from loftline.values import Ints

Links = list[tuple[int, int]]

_LONG = 400
"""Pairs in a cluster from which on its chains are summed up first."""


def pairs_of_most_gain(
    count: int, first: Ints, second: Ints, gain: Ints, step: Step = does_nothing
) -> Links:
    """Pairs of greatest total gain that leave two places single at least.

    The number of singles costs nothing by itself, so two are enough: what is gained by
    each further pair never grows (matchings of growing size gain less and less), and so one
    cluster alone gives up one pair's worth where all places would be paired.

    Args:
        count: number of places, even.
        first: ``(k,)`` one place of each pair that may be made.
        second: ``(k,)`` the other, a higher number.
        gain: ``(k,)`` whole numbers above 0.
        step: progress callback.

    Returns:
        The pairs, lower place first, sorted.
    """
    links: Links = []
    clusters = list(_clusters(count, first, second))
    for i, (_, edges) in enumerate(clusters):
        pause = partial(step, "links", i, len(clusters))
        pause()
        links += _most(first[edges], second[edges], gain[edges], pause=pause)
    if 2 * len(links) < count or not count:
        return sorted(links)
    # all are paired: the cluster that loses least parts with two
    worth = dict(zip(zip(first.tolist(), second.tolist(), strict=True), gain.tolist(), strict=True))
    partner = dict([*links, *((b, a) for a, b in links)])
    best: tuple[int, Links, Links] | None = None
    for i, (places, edges) in enumerate(clusters):
        pause = partial(step, "links", i, len(clusters))
        pause()
        now = [(a, partner[a]) for a in places.tolist() if a < partner[a]]
        fewer = _fewer(now, first[edges], second[edges], gain[edges], pause)
        loss = sum(worth[pair] for pair in now) - sum(worth[pair] for pair in fewer)
        if best is None or loss < best[0]:
            best = (loss, now, fewer)
    if best is not None:
        given_up = set(best[1])
        links = [pair for pair in links if pair not in given_up] + best[2]
    return sorted(links)


def pairs_of_least_cost(
    count: int, first: Ints, second: Ints, cost: Ints, step: Step = does_nothing
) -> Links | None:
    """Pairs of least total cost that leave no place single; ``None`` when none can.

    Args:
        count: number of places.
        first: ``(k,)`` one place of each pair that may be made.
        second: ``(k,)`` the other, a higher number.
        cost: ``(k,)`` whole numbers, at least 0.
        step: progress callback.
    """
    links: Links = []
    clusters = list(_clusters(count, first, second))
    for i, (places, edges) in enumerate(clusters):
        step("links", i, len(clusters))
        most = int(cost[edges].max(initial=0)) + 1
        found = _most(first[edges], second[edges], most - cost[edges], perfect=True)
        if 2 * len(found) < len(places):
            return None
        links += found
    return sorted(links)


def _clusters(count: int, first: Ints, second: Ints) -> Iterator[tuple[Ints, Ints]]:
    """Places that hang together by pairs, and the pairs among them."""
    label = components(count, first, second)
    number = int(label.max(initial=-1)) + 1
    by_place, by_pair = np.argsort(label, kind="stable"), np.argsort(label[first], kind="stable")
    places = np.searchsorted(label[by_place], np.arange(number + 1))
    pairs = np.searchsorted(label[first][by_pair], np.arange(number + 1))
    for c in range(number):
        yield by_place[places[c] : places[c + 1]], by_pair[pairs[c] : pairs[c + 1]]


def _most(
    first: Ints,
    second: Ints,
    gain: Ints,
    *,
    singles: bool = False,
    perfect: bool = False,
    pause: Callable[[], None] = go_on,
) -> Links:
    """The pairs of greatest gain in one cluster; with ``singles`` two places are left out."""
    if not len(first):
        return []
    if len(first) == 1:
        return [] if singles else [(int(first[0]), int(second[0]))]
    names, ends = np.unique(np.concatenate([first, second]), return_inverse=True)
    a, b = ends[: len(first)].tolist(), ends[len(first) :].tolist()
    edges = list(zip(a, b, gain.tolist(), strict=True))
    n = len(names)
    named = names.tolist()
    if len(edges) > _LONG and not perfect and not singles:
        return [(named[p], named[q]) for p, q in most_gain(n, edges, _greatest, pause)]
    if singles:
        # two more places that take the two left out, worth more than any pair
        most = int(gain.max(initial=0)) + 1
        edges += [(t, n + h, most) for h in (0, 1) for t in range(n)]
    pairs = matched(n + 2 * singles, edges, perfect=perfect)
    return sorted((named[min(p)], named[max(p)]) for p in pairs if max(p) < n)


def _fewer(now: Links, first: Ints, second: Ints, gain: Ints, pause: Callable[[], None]) -> Links:
    """The pairs of greatest gain in one cluster that leave two places out, from all its pairs."""
    if len(first) <= _LONG:
        return _most(first, second, gain, singles=True)
    names, ends = np.unique(np.concatenate([first, second]), return_inverse=True)
    a, b = ends[: len(first)].tolist(), ends[len(first) :].tolist()
    edges = list(zip(a, b, gain.tolist(), strict=True))
    pairs = [(int(p), int(q)) for p, q in np.searchsorted(names, np.array(now))]
    named = names.tolist()
    return [
        (named[p], named[q]) for p, q in with_two_left(pairs, len(names), edges, _greatest, pause)
    ]


def _greatest(n: int, edges: Gains) -> Links:
    return matched(n, edges, perfect=False)


def matched(n: int, edges: list[tuple[int, int, int]], *, perfect: bool) -> Links:
    """The matching of greatest weight, by rustworkx, or by networkx where that is missing.

    Both are exact on whole numbers; networkx is some thirty times slower.
    """
    try:
        rustworkx: Any = import_module("rustworkx")
    except ImportError:
        return matched_slowly(edges, perfect=perfect)
    graph = rustworkx.PyGraph(multigraph=False)
    graph.add_nodes_from(range(n))
    graph.add_edges_from(edges)
    pairs = rustworkx.max_weight_matching(
        graph, max_cardinality=perfect, weight_fn=int, verify_optimum=False
    )
    return list(pairs)


def matched_slowly(edges: list[tuple[int, int, int]], *, perfect: bool) -> Links:
    """As :func:`matched`, by networkx."""
    # slow to load, and seldom needed
    networkx: Any = import_module("networkx")
    graph = networkx.Graph()
    graph.add_weighted_edges_from(edges)
    return list(networkx.max_weight_matching(graph, maxcardinality=perfect))

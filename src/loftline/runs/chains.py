"""Pairing places off along chains: what lies between two branchings is summed up first.

Places on one ring may mostly be paired with their two neighbours only, so a cluster of
thousands of places is a few long chains. All that the rest of the cluster needs to know of a
chain is what it gains at most for each choice at its two ends, which dynamic programming
finds in a time that grows with its length. Two or three places stand for the chain with the
same four gains; the matching of those and of the branchings, whose time grows with the square
of their number, is a small one.

Let ``f(i, j)`` be the most gain of a chain whose first pair is made or not and whose last
pair is. The union of the pairings behind two of these falls into alternating paths, and
changing over along one of them gives the other two. So with an even number of places inside
``f(1, 1) + f(0, 0) >= f(1, 0) + f(0, 1)``, with an odd number the other way round: no pair
between the places that stand for a chain gains less than nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import NamedTuple

Pairing = list[tuple[int, int]]
Gains = list[tuple[int, int, int]]
"""Two places each, and what is gained by pairing them."""

Solver = Callable[[int, Gains], Pairing]
"""From the number of places and the gains the pairs of most gain."""

_LEAST_INSIDE = 4
"""Places inside a chain from which on fewer stand for it."""


class _Chain(NamedTuple):
    """A way from one branching to another: all places on it, and the gain of each next pair."""

    places: list[int]
    gains: list[int]


def go_on() -> None:
    """Nobody asks to stop."""


def most_gain(
    count: int, gains: Gains, solve: Solver, pause: Callable[[], None] = go_on
) -> Pairing:
    """The pairs of most gain in all, chains summed up.

    Args:
        count: number of places.
        gains: no pair twice, whole numbers above 0.
        solve: matches what is left.
        pause: where the work may be stopped.

    Returns:
        The pairs, lower place first, sorted.
    """
    chains, rest = _parted(count, gains)
    pause()
    total = count
    standing: list[tuple[_Chain, list[int]]] = []
    for chain in chains:
        path, along = chain.places, chain.gains
        if len(path) >= _LEAST_INSIDE + 2:
            along = _summed(chain)
            path = [path[0], *range(total, total + len(along) - 1), path[-1]]
            total += len(along) - 1
            standing.append((chain, path))
        rest += [(*pair, gain) for pair, gain in zip(pairwise(path), along, strict=True)]
    pause()
    made = {(min(p), max(p)) for p in solve(total, [each for each in rest if each[2] > 0])}
    pause()
    pairs = [pair for pair in made if pair[1] < count]
    for chain, path in standing:
        pairs += _along(chain, (path[0], path[1]) in made, (path[-1], path[-2]) in made)
    return sorted(pairs)


def with_two_left(
    pairs: Pairing, count: int, gains: Gains, solve: Solver, pause: Callable[[], None] = go_on
) -> Pairing:
    """The pairs of most gain that leave two places single, from those that leave none.

    With each pair at a price, more than one pair is given up only where that saves as much,
    since what each further pair gains never grows. So the least that one pair's worth can be
    had for is found by asking whether any can be had for less, until none can (the method of
    Newton and Dinkelbach).

    Args:
        pairs: of most gain, all places paired.
        count: number of places.
        gains: as of :func:`most_gain`.
        solve: the same.
        pause: the same.
    """
    worth = {(min(a, b), max(a, b)): gain for a, b, gain in gains}
    price, least = min((worth[pair], pair) for pair in pairs)
    best = [pair for pair in pairs if pair != least]
    while True:
        dearer = [(a, b, gain - price) for a, b, gain in gains if gain > price]
        pause()
        found = most_gain(count, dearer, solve, pause)
        pause()
        loss, fewer = _one_less(pairs, found, worth, count)
        if loss >= price:
            return best
        price, best = loss, fewer


def _one_less(
    pairs: Pairing, found: Pairing, worth: dict[tuple[int, int], int], count: int
) -> tuple[int, Pairing]:
    """The cheapest change from some pairs to others that leaves two places single."""
    now, then = _partners(pairs, count), _partners(found, count)
    best: tuple[int, list[int]] | None = None
    for start in range(count):
        if then[start] >= 0:
            continue
        # from one single place to another, pairs given up and made by turns
        way = [start, now[start]]
        while then[way[-1]] >= 0:
            way.append(then[way[-1]])
            way.append(now[way[-1]])
        each = [worth[min(a, b), max(a, b)] for a, b in pairwise(way)]
        loss = sum(each[::2]) - sum(each[1::2])
        if best is None or loss < best[0]:
            best = loss, way
    if best is None:
        return sum(worth.values()) + 1, pairs
    loss, way = best
    changed = set(way)
    fewer = [pair for pair in pairs if pair[0] not in changed]
    fewer += [(min(a, b), max(a, b)) for a, b in zip(way[1:-1:2], way[2:-1:2], strict=True)]
    return loss, sorted(fewer)


def _partners(pairs: Pairing, count: int) -> list[int]:
    """The place that each is paired with, -1 for none."""
    partner = [-1] * count
    for one, other in pairs:
        partner[one], partner[other] = other, one
    return partner


def _parted(count: int, gains: Gains) -> tuple[list[_Chain], Gains]:
    """The chains through places of two pairs, and the pairs that lie in none."""
    beside: list[list[tuple[int, int]]] = [[] for _ in range(count)]
    for one, other, gain in gains:
        beside[one].append((other, gain))
        beside[other].append((one, gain))
    inner = [len(pairs) == 2 for pairs in beside]
    seen = [not inside for inside in inner]
    chains: list[_Chain] = []
    # branchings first; a ring without one is opened where its lowest place lies
    for start in sorted(range(count), key=lambda place: inner[place]):
        if inner[start] and seen[start]:
            continue
        seen[start] = True
        for place, gain in beside[start]:
            if not seen[place]:
                chains += _simple(_followed(start, place, gain, beside, seen))
    return chains, [each for each in gains if not inner[each[0]] and not inner[each[1]]]


def _followed(
    start: int, place: int, gain: int, beside: list[list[tuple[int, int]]], seen: list[bool]
) -> _Chain:
    """The chain that leaves a place by one of its pairs; marks what it passes as seen."""
    chain = _Chain([start, place], [gain])
    while not seen[place]:
        seen[place] = True
        one, other = beside[place]
        place, gain = other if one[0] == chain.places[-2] else one
        chain.places.append(place)
        chain.gains.append(gain)
    return chain


def _simple(chain: _Chain) -> list[_Chain]:
    """A chain that comes back to where it began, as two that do not."""
    places, gains = chain
    if places[0] != places[-1]:
        return [chain]
    half = len(gains) // 2
    return [
        _Chain(places[: half + 1], gains[:half]),
        _Chain(places[half:], gains[half:]),
    ]


def _most(gains: list[int], first: int, end: int) -> list[int]:
    """The most that the pairs from ``first`` up to each before ``end`` gain; 0 for none."""
    out = [0, 0]
    for gain in gains[first:end]:
        out.append(max(out[-1], out[-2] + gain))
    return out[1:]


def _summed(chain: _Chain) -> list[int]:
    """Gains of pairs along three places or two that stand for those inside, to a constant."""
    gains = chain.gains
    last = len(gains) - 1
    without, beyond = _most(gains, 1, last), _most(gains, 2, last)
    neither = without[-1]
    first = gains[0] + beyond[-1]
    final = gains[last] + without[-2]
    both = gains[0] + gains[last] + beyond[-2]
    if len(gains) % 2:
        return [both - final, both + neither - first - final, both - first]
    between = first + final - both - neither
    return [first - neither, between, between, final - neither]


def _along(chain: _Chain, first: bool, final: bool) -> Pairing:  # noqa: FBT001
    """The pairs of most gain along a chain, its first and its last made or not."""
    gains = chain.gains
    begin, end = (2 if first else 1), len(gains) - (2 if final else 1)
    most = _most(gains, begin, end)
    made = [0] * first + [len(gains) - 1] * final
    k = len(most) - 1
    while k > 0:
        if most[k] == most[k - 1]:
            k -= 1
        else:
            made.append(begin + k - 1)
            k -= 2
    pairs = [(chain.places[k], chain.places[k + 1]) for k in made]
    return [(min(pair), max(pair)) for pair in pairs]

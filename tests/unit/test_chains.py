"""Pairing along chains, against matching everything at once."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from hypothesis import given, settings, strategies as st

from loftline.runs import matching
from loftline.runs.chains import Gains, Pairing, most_gain, with_two_left
from loftline.runs.matching import matched, pairs_of_most_gain


@st.composite
def branched(draw: st.DrawFn) -> tuple[int, Gains]:
    """Chains of any length between a few branchings, some of them back to where they began."""
    count = branchings = draw(st.integers(1, 4))
    worth = draw(st.sampled_from([1, 3, 9, 1000]))
    gains: dict[tuple[int, int], int] = {}
    for _ in range(draw(st.integers(1, 5))):
        one, other = (draw(st.integers(0, branchings - 1)) for _ in range(2))
        inside = draw(st.integers(2 if one == other else 0, 9))
        path = [one, *range(count, count + inside), other]
        count += inside
        for a, b in pairwise(path):
            gains[min(a, b), max(a, b)] = draw(st.integers(1, worth))
    return count, [(a, b, gain) for (a, b), gain in gains.items()]


@st.composite
def rings(draw: st.DrawFn) -> tuple[int, Gains]:
    """One ring without a branching."""
    count = draw(st.integers(3, 14))
    gains = draw(st.lists(st.integers(1, 9), min_size=count, max_size=count))
    return count, [
        (min(k, (k + 1) % count), max(k, (k + 1) % count), gains[k]) for k in range(count)
    ]


def at_once(count: int, gains: Gains) -> Pairing:
    return sorted((min(p), max(p)) for p in matched(count, gains, perfect=False))


def worth(pairs: Pairing, gains: Gains) -> int:
    """What pairs gain, each of them one that may be made, and no place taken twice."""
    taken = [place for pair in pairs for place in pair]
    assert len(set(taken)) == len(taken)
    of = {(a, b): gain for a, b, gain in gains}
    return sum(of[min(pair), max(pair)] for pair in pairs)


@settings(max_examples=500, deadline=None)
@given(cluster=st.one_of(branched(), rings()))
def test_chains_gain_what_all_places_at_once_do(cluster: tuple[int, Gains]) -> None:
    count, gains = cluster
    assert worth(most_gain(count, gains, at_once), gains) == worth(at_once(count, gains), gains)


@settings(max_examples=500, deadline=None)
@given(cluster=st.one_of(branched(), rings()))
def test_two_left_single_lose_the_least(cluster: tuple[int, Gains]) -> None:
    count, gains = cluster
    pairs = most_gain(count, gains, at_once)
    if 2 * len(pairs) < count:
        return
    fewer = with_two_left(pairs, count, gains, at_once)
    assert 2 * len(fewer) == count - 2
    # two more places, worth more than all, take the two that are left
    much = 1 + sum(gain for _, _, gain in gains)
    extra = [(place, count + k, much) for k in (0, 1) for place in range(count)]
    best = [pair for pair in at_once(count + 2, gains + extra) if max(pair) < count]
    assert worth(fewer, gains) == worth(best, gains)


def test_few_places_stand_for_long_chains() -> None:
    # three chains of 1 000 places each between two branchings
    gains: Gains = []
    for k in range(3):
        path = [0, *range(2 + 1000 * k, 1002 + 1000 * k), 1]
        gains += [(min(pair), max(pair), 1 + sum(pair) % 7) for pair in pairwise(path)]
    asked: list[int] = []

    def solve(count: int, left: Gains) -> Pairing:
        asked.append(len(left))
        return at_once(count, left)

    pairs = most_gain(3002, gains, solve)
    assert worth(pairs, gains) == worth(at_once(3002, gains), gains)
    assert max(asked) <= 9


def test_large_clusters_are_paired_along_their_chains() -> None:
    ring = np.arange(600)
    first, second = np.minimum(ring, (ring + 1) % 600), np.maximum(ring, (ring + 1) % 600)
    gain = 10 + ring * 37 % 11
    assert len(ring) > matching._LONG
    found = pairs_of_most_gain(600, first, second, gain)
    edges = list(zip(first.tolist(), second.tolist(), gain.tolist(), strict=True))
    best = with_two_left(at_once(600, edges), 600, edges, at_once)
    assert worth(found, edges) == worth(best, edges)
    assert len(found) == 299

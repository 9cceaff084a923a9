"""The network and its runs alone: time, growth and memory, and beside plainer ways.

Run with ``pytest tests/bench/test_bench_runs.py --benchmark-enable``; the figures stand in
docs/performance.md. Times are of the process, so that a busy machine counts less.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from loftline.runs import plan_runs
from loftline.runs.costs import CUT_COST
from loftline.values import Lines, Panel
from support_bench import CASES, drawn, laid_out, mixed, ordered, square, strip
from support_yardsticks import Answer, eulerized, nearest_end

GROWTH = 1.2
"""Most that the time may grow by, as a power of the number of nodes."""

MEMORY = 1_000_000_000
"""Most bytes for the largest panel."""

SIDES = ((300, 1), (600, 3), (1200, 8), (2400, 20), (4800, 60))
"""Sides of square panels in mm, and how many keep-outs each has."""


@pytest.mark.parametrize("name", ["channel 12", "grid 20", "grid 6", "large grid 12"])
def test_bench_network_and_runs(benchmark: BenchmarkFixture, name: str) -> None:
    panel, lines = laid_out(CASES[name])
    network, runs = benchmark.pedantic(  # type: ignore[no-untyped-call]
        ordered, args=(panel, lines), rounds=5, warmup_rounds=1
    )
    benchmark.extra_info.update(
        nodes=len(network.nodes), cost=round(runs.cost), least_cost=round(runs.least_cost)
    )
    assert runs.least_cost <= runs.cost


YARDSTICKS = {
    "eulerized": eulerized,
    "nearest end": lambda network: nearest_end(network, CUT_COST),
}


@pytest.mark.parametrize(
    ("way", "name"),
    [
        ("eulerized", "channel 12"),
        ("eulerized", "grid 20"),  # a finer grid takes it minutes
        ("nearest end", "channel 12"),
        ("nearest end", "grid 20"),
        ("nearest end", "grid 6"),
        ("nearest end", "large grid 12"),
    ],
)
def test_bench_beside(benchmark: BenchmarkFixture, way: str, name: str) -> None:
    panel, lines = laid_out(CASES[name])
    network, runs = ordered(panel, lines)
    started = time.process_time()
    plan_runs(network, seed=7)
    ours = time.process_time() - started
    started = time.process_time()
    answer: Answer = benchmark.pedantic(  # type: ignore[no-untyped-call]
        YARDSTICKS[way], args=(network,), rounds=1
    )
    theirs = time.process_time() - started
    benchmark.extra_info.update(
        cost=round(answer.cost),
        runs=answer.runs,
        ours=round(runs.cost),
        times_the_cost=round(answer.cost / runs.cost, 2),
        times_the_time=round(theirs / ours, 2),
    )
    # nothing is cheaper than what is proved to be the least
    assert answer.cost >= runs.least_cost - 0.01
    assert answer.cost > runs.cost


GROWN = {
    "grid": {"pattern": "grid", "angle": 45, "spacing": 12},
    "triangles": {"pattern": "grid", "angle": [0, 60, 120], "spacing": 12},
}


@pytest.mark.parametrize("name", GROWN)
def test_bench_growth(benchmark: BenchmarkFixture, name: str) -> None:
    sides = SIDES[:2] if benchmark.disabled else SIDES
    nodes, seconds = [], []
    for side, keep_outs in sides:
        panel, lines = laid_out(square(side, keep_outs) | {"fills": [GROWN[name]]})
        took = []
        for _ in range(3):
            started = time.process_time()
            network, runs = ordered(panel, lines)
            took.append(time.process_time() - started)
        nodes.append(len(network.nodes))
        seconds.append(min(took))
        assert runs.optimal
    power = float(np.polyfit(np.log(nodes), np.log(seconds), 1)[0])
    benchmark.extra_info.update(nodes=nodes, seconds=seconds, power=round(power, 2))
    benchmark.pedantic(lambda: None)  # type: ignore[no-untyped-call]
    assert benchmark.disabled or power <= GROWTH


SPACINGS = (12, 6, 3)
"""Between channels on the largest square, mm."""

STRIPS = ((4800, 30), (19_200, 120), (76_800, 480), (215_000, 1300))
"""Lengths of strips in mm, and how many keep-outs each has: 3 700 to 159 000 nodes."""


def _channels(side: int, keep_outs: int, spacing: float) -> tuple[Panel, Lines]:
    fill = {"pattern": "channel", "angle": 45, "spacing": spacing}
    return laid_out(square(side, keep_outs) | {"fills": [fill]})


def _panels(name: str, *, few: bool) -> Iterator[tuple[Panel, Lines]]:
    """Panels of a kind, each larger than the one before; the first two are enough for a try."""
    end = 2 if few else None
    match name:
        case "channels":
            yield from (_channels(side, keep_outs, 12) for side, keep_outs in SIDES[:end])
        case "closer channels":
            side, keep_outs = SIDES[1] if few else SIDES[-1]
            yield from (_channels(side, keep_outs, spacing) for spacing in SPACINGS[:end])
        case "strips of channels":
            yield from (drawn(strip(*of)) for of in (((600, 4), (1200, 8)) if few else STRIPS))
        case _:
            yield from (drawn(mixed(*of)) for of in (((200, 1), (300, 1)) if few else SIDES[1:]))


@pytest.mark.parametrize("name", ["channels", "closer channels", "strips of channels", "mixed"])
def test_bench_growth_in_pieces(benchmark: BenchmarkFixture, name: str) -> None:
    # these lie in pieces, and their time is that of the search and its proof
    nodes, seconds, gaps = [], [], []
    for panel, lines in _panels(name, few=benchmark.disabled):
        started = time.process_time()
        network, runs = ordered(panel, lines)
        seconds.append(time.process_time() - started)
        nodes.append(len(network.nodes))
        gaps.append(round(1 - runs.least_cost / runs.cost, 4))
        assert runs.optimal or name == "mixed"
    power = float(np.polyfit(np.log(nodes), np.log(seconds), 1)[0])
    last = float(np.log(seconds[-1] / seconds[-2]) / np.log(nodes[-1] / nodes[-2]))
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    benchmark.extra_info.update(
        nodes=nodes,
        seconds=seconds,
        gaps=gaps,
        power=round(power, 2),
        last=round(last, 2),
        bytes=most,
    )
    benchmark.pedantic(lambda: None)  # type: ignore[no-untyped-call]
    assert benchmark.disabled or max(power, last) <= GROWTH
    assert most < MEMORY or benchmark.disabled


def test_bench_memory(benchmark: BenchmarkFixture) -> None:
    side, keep_outs = SIDES[0] if benchmark.disabled else SIDES[-1]
    code = (
        "import sys; sys.path.insert(0, sys.argv[1]); import support_bench as b\n"
        f"network, _ = b.ordered(*b.laid_out(b.square({side}, {keep_outs})))\n"
        # its own most: what getrusage tells may be that of the process that began it
        "status = open('/proc/self/status').read()\n"
        "most = 1024 * int(status.split('VmHWM:')[1].split()[0])\n"
        "print(len(network.nodes), most)"
    )
    out = benchmark.pedantic(  # type: ignore[no-untyped-call]
        subprocess.check_output,
        args=([sys.executable, "-c", code, str(Path(__file__).parents[1])],),
        kwargs={"text": True},
        rounds=1,
    )
    nodes, most = (int(word) for word in out.split())
    benchmark.extra_info.update(nodes=nodes, bytes=most)
    assert most < MEMORY

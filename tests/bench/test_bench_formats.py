"""How long stitch files take: 200,000 needle points written, read back and compared."""

from __future__ import annotations

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from loftline.compare import compare
from loftline.errors import Finding
from loftline.inspection import inspect_file
from loftline.readers import read_stitch_file
from loftline.values import Sewn
from loftline.writers.stitch_files import write_stitch_file
from support_stitch_files import EXTS

COUNT = 200_000


def channels(benchmark: BenchmarkFixture) -> Sewn:
    """Lines of 190 mm, 3 mm stitches, a cut every 1000 needle points; few when not timed."""
    count = 2_000 if benchmark.disabled else COUNT
    place = np.arange(count)
    line, along = place // 64, place % 64
    x = np.where(line % 2, 63 - along, along) * 30 - 945
    none = np.empty(0, np.int64)
    return Sewn(
        x=x,
        y=line % 63 * 30 - 945,
        run=place // 1000 + np.cumsum(np.diff(line % 63, prepend=0) < 0),
        kind=np.zeros(count, np.int64),
        via=none.reshape(0, 2),
        via_run=none,
    )


@pytest.mark.parametrize("ext", EXTS)
def test_write(benchmark: BenchmarkFixture, ext: str) -> None:
    sewn = channels(benchmark)
    data = benchmark(write_stitch_file, ext, sewn, name="bench", at_cuts="trim")
    assert len(data) > 2 * len(sewn)


@pytest.mark.parametrize("ext", EXTS)
def test_read_back(benchmark: BenchmarkFixture, ext: str) -> None:
    sewn = channels(benchmark)
    data = write_stitch_file(ext, sewn, name="bench", at_cuts="trim")
    read = benchmark(read_stitch_file, ext, data)
    assert len(read) == len(sewn)


@pytest.mark.parametrize("ext", EXTS)
def test_write_and_verify(benchmark: BenchmarkFixture, ext: str) -> None:
    sewn = channels(benchmark)

    def whole() -> tuple[Finding, ...]:
        data = write_stitch_file(ext, sewn, name="bench", at_cuts="trim")
        return compare(sewn, read_stitch_file(ext, data))

    assert benchmark(whole) == ()


@pytest.mark.parametrize("ext", EXTS)
def test_inspect(benchmark: BenchmarkFixture, ext: str) -> None:
    data = write_stitch_file(ext, channels(benchmark), name="bench", at_cuts="trim")
    assert benchmark(inspect_file, f"bench.{ext}", data).runs > 1


def test_compare(benchmark: BenchmarkFixture) -> None:
    sewn = channels(benchmark)
    read = read_stitch_file("dst", write_stitch_file("dst", sewn, name="b", at_cuts="trim"))
    assert benchmark(compare, sewn, read) == ()

"""Rules for all tests: a missing program skips loudly at a user's and never in CI."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Generator

import pytest
from hypothesis import settings

# the same examples at every run, LOFTLINE_RANDOM=1 asks for new ones; no test goes by the clock
settings.register_profile("steady", derandomize=True, deadline=None)
settings.register_profile("random", derandomize=False, deadline=None)
settings.load_profile("random" if os.environ.get("LOFTLINE_RANDOM") else "steady")

NO_SKIP = bool(os.environ.get("LOFTLINE_NO_SKIP"))
PACKAGES = {"rsvg-convert": "librsvg2-bin"}


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """With LOFTLINE_NO_SKIP set, a skipped test is a failed one."""
    del item, call
    report = yield
    if NO_SKIP and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped, which is not allowed here: {report.longrepr}"
    return report


@pytest.fixture
def program() -> Callable[[str], str]:
    """Find a program, or skip with a line that says which package brings it."""

    def find(name: str) -> str:
        path = shutil.which(name)
        if path is None:
            pytest.skip(
                f"THE PROGRAM {name} IS NOT HERE, so this is not tested "
                f"(Debian package: {PACKAGES.get(name, name)})"
            )
        return path

    return find

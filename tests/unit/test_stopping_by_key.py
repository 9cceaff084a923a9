"""Ctrl-C stops the work, even where the interrupt itself was swallowed."""

from __future__ import annotations

import contextlib
import signal

import pytest

from loftline.cli.progress import ProgressBar
from loftline.cli.stopping import stop_if_asked, stoppable


def test_an_interrupt_that_was_swallowed_stops_the_next_step() -> None:
    with stoppable(), ProgressBar() as bar:
        with contextlib.suppress(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
        with pytest.raises(KeyboardInterrupt):
            bar.step("runs", 0, 1)


def test_the_next_command_is_not_stopped_by_the_last_one() -> None:
    with stoppable(), contextlib.suppress(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)
    with stoppable():
        stop_if_asked()


def test_the_old_answer_to_the_key_comes_back() -> None:
    before = signal.getsignal(signal.SIGINT)
    with stoppable():
        assert signal.getsignal(signal.SIGINT) is not before
    assert signal.getsignal(signal.SIGINT) is before

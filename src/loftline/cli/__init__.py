"""The command line: reads what was typed, calls the stages, shows the answer.

Nothing is computed here. ``loftline --help`` loads argparse alone; the stages and the
libraries behind them are loaded by the command that needs them.
"""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Sequence

from loftline.cli.parser import parse
from loftline.cli.stopping import stoppable
from loftline.cli.typed import UsageError

INTERRUPTED = 130
OUR_FAULT = 3
BAD_INPUT = 2


def main(words: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        words: what was typed after ``loftline``; ``None`` takes it from the process.

    Returns:
        The exit code: 0 clean or with warnings and notes, 1 a finding says stop,
        2 bad input, 3 a fault of loftline's own, 130 stopped with Ctrl-C.

    Raises:
        SystemExit: with code 0, after ``--help`` or ``--version``.
    """
    _forgive(sys.stdout)
    _forgive(sys.stderr)
    try:
        options = parse(sys.argv[1:] if words is None else words)
        with stoppable():
            from loftline.cli.commands import run  # noqa: PLC0415 - --help must load nothing heavy

            code = run(options)
            sys.stdout.flush()
    except UsageError as error:
        return _say(str(error), BAD_INPUT)
    except KeyboardInterrupt:
        return _say("Stopped.", INTERRUPTED)
    except BrokenPipeError:
        # Whoever read our output has gone, as `| head` does: no reason to complain.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:
        if os.environ.get("LOFTLINE_DEBUG"):
            raise
        return _say(
            f"A mistake of loftline's own ({type(error).__name__}: {error}). "
            "Nothing is wrong with your files because of it. With LOFTLINE_DEBUG=1 set, the "
            "same command shows where; please report that together with the project file.",
            OUR_FAULT,
        )
    return code


def _say(sentence: str, code: int) -> int:
    with contextlib.suppress(OSError):
        print(f"loftline: {sentence}", file=sys.stderr)
    return code


def _forgive(stream: object) -> None:
    """Print ``?`` for a letter that the terminal cannot show, rather than fail."""
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="replace")

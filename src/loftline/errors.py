"""What can go wrong, and how it is said.

Exceptions::

    LoftlineError
    ├── ProjectError      bad input: every fault of a project file at once (exit code 2)
    ├── ExportError       a written file differs from its plan, or could not be put in place
    │   └── FormatLimit   a stitch format cannot hold what was planned
    ├── StitchFileError   a stitch file that cannot be read
    └── Cancelled         raised by a progress callback to stop the work

A :class:`Finding` is not an exception: it is one result of a check. Stages collect
findings, the exit code follows from the worst of them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

Severity = Literal["error", "warning", "note"]

Step = Callable[[str, int, int], None]
"""Progress callback ``step(name, done, total)``; it may raise :class:`Cancelled`."""


class LoftlineError(Exception):
    """Base of every exception that loftline raises on purpose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault of a project file.

    Attributes:
        where: key path such as ``keep_outs[2].clearance``; empty for the file as a whole.
        message: what was found and what would be right, as one sentence.
    """

    where: str
    message: str

    def __str__(self) -> str:
        return f"{self.where}: {self.message}" if self.where else self.message


class ProjectError(LoftlineError):
    """Bad input. Carries every fault found, in file order."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type[ProjectError], tuple[tuple[Fault, ...]]]:
        """How it comes whole from another process."""
        return type(self), (self.faults,)


class ExportError(LoftlineError):
    """A written file does not hold what was planned, or could not be put in place."""


class FormatLimit(ExportError):  # noqa: N818 - it is a property of the format, not an error
    """A stitch format cannot hold what was planned; the export goes on without it.

    Attributes:
        ext: the format's file ending, without its dot.
        reason: why, as the rest of a sentence.
    """

    def __init__(self, ext: str, reason: str) -> None:
        self.ext = ext
        self.reason = reason
        super().__init__(f"the {ext} format cannot hold this plan: {reason}")


class StitchFileError(LoftlineError):
    """A stitch file that cannot be read as what its ending says."""


class Cancelled(LoftlineError):  # noqa: N818 - it is not an error, it is an answer
    """Raised inside a progress callback by whoever wants the work to stop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One result of a check.

    Attributes:
        code: stable short name, listed in docs/findings.md, such as ``keep-out-entered``.
        severity: ``error`` stops the export; ``warning`` and ``note`` do not.
        where: a place on the panel or in the file, in words.
        message: what is wrong, one sentence.
        remedy: what would mend it, one sentence; may be empty for a note.
    """

    code: str
    severity: Severity
    where: str
    message: str
    remedy: str = ""


def does_nothing(name: str, done: int, total: int) -> None:
    """Progress callback that ignores every step."""

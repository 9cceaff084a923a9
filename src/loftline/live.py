"""One bag planned again and again while it is being changed.

What a stage made is kept with what it was made of, and handed on again as long as that is the
same: another price of the thread leaves the panel, the lines and the needle points as they
were. Kept results are compared with all that the stage reads and not by a digest of it: the
tables of a project are small beside what is made of them.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Final, TypeVar, cast

from loftline.errors import Step, does_nothing
from loftline.plan import Plan, make_plan
from loftline.project import Project
from loftline.values import Quality

T = TypeVar("T")

MOST_PLANS: Final = 12
"""Whole plans that are kept, so that undo and redo need not wait."""
MOST_STAGES: Final = 3
"""Results kept of each stage: of the last few changes."""

_PANEL: Final = (
    *("name", "units", "panel", "hardware", "keep_outs", "regions", "layers", "seams", "swatch"),
)
_STAGES: Final = {
    "panel": _PANEL,
    "lines": (*_PANEL, "seed"),
    "network": (*_PANEL, "seed", "costs"),
    "gaps": (*_PANEL, "seed", "costs"),
    "runs": (*_PANEL, "seed", "costs"),
    "stitches": (*_PANEL, "seed", "costs"),
}
"""Tables that a stage reads, its own and those of the stages before it; besides these, fills,
quilting and machine, less what only later stages read."""

_ONLY_LATER: Final = {
    "stitches_per_minute": 600.0,
    "formats": ("dst",),
    "at_cuts": "trim",
}
"""Keys of the machine that no stage up to the needle points reads, with any fixed value."""


@dataclass(slots=True)
class Live:
    """Plans projects that differ little from one to the next.

    Not frozen, since it remembers; it is used by one thread at a time. What it answers is what
    :func:`loftline.make_plan` answers, but for what a quick plan leaves out.

    Attributes:
        made: how often each stage was made and not kept, by its name.
    """

    made: dict[str, int] = field(default_factory=dict)
    _plans: OrderedDict[Hashable, tuple[Project, Plan]] = field(default_factory=OrderedDict)
    _stages: dict[str, list[tuple[object, object]]] = field(default_factory=dict)

    def plan(
        self,
        project: Project,
        step: Step = does_nothing,
        *,
        effort: Quality = "full",
    ) -> Plan:
        """The plan of a project; a quick one has no cutting list, and looks for no wide gaps.

        Args:
            project: one size.
            step: progress callback.
            effort: as for :func:`loftline.make_plan`.

        Raises:
            ProjectError: as :func:`loftline.make_plan` does.
            Cancelled: when ``step`` says so; what was made till then is kept.
        """
        if effort == "quick":
            # laying out the pieces takes longer than all else together
            project = project.model_copy(update={"cutting": None})
        for key, (other, plan) in self._plans.items():
            if isinstance(key, tuple) and key[0] == effort and other == project:
                self._plans.move_to_end(key)
                return plan

        def keep(stage: str, of: Project, make: Callable[[], T], /) -> T:
            if stage == "gaps" and effort == "quick":
                return cast("T", None)
            return self._kept(stage, (effort, *_read(stage, of)), make)

        plan = make_plan(project, step, effort=effort, keep=keep)
        self._plans[effort, id(project)] = (project, plan)
        if len(self._plans) > MOST_PLANS:
            self._plans.popitem(last=False)
        return plan

    def _kept(self, stage: str, of: object, make: Callable[[], T]) -> T:
        shelf = self._stages.setdefault(stage, [])
        for i, (before, result) in enumerate(shelf):
            if before == of:
                shelf.append(shelf.pop(i))
                return cast("T", result)
        result = make()
        self.made[stage] = self.made.get(stage, 0) + 1
        shelf.append((of, result))
        del shelf[:-MOST_STAGES]
        return result


def _read(stage: str, project: Project) -> tuple[object, ...]:
    """All that a stage reads of a project, and may read in vain a little more."""
    quilting, machine = project.quilting, project.machine.model_copy(update=_ONLY_LATER)
    if stage in {"panel", "lines", "network", "gaps"}:
        quilting = quilting.model_copy(update={"order": "least cost"})
    tables = tuple(getattr(project, name) for name in _STAGES[stage])
    return (*tables, project.fills, quilting, machine)

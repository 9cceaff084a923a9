"""Cutting rings where a walk passes along them for nothing, until the walk is one of the whole.

The least walk of a smaller task, each stretch of a ring a single node, costs no more than any
walk of the whole. Completed, it is a walk of the whole. Where both cost the same that is the
least there is; else rings are cut at the places that make the difference, and the next smaller
task tells more (abstraction and refinement: Clarke, Grumberg, Jha, Lu & Veith, Journal of the
ACM 50, 2003). Other than by trees, rings may so be joined in circles, which where three meet
saves a step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from loftline.errors import Step
from loftline.runs.between import Contracted, least_parted, merged
from loftline.runs.completing import complete
from loftline.runs.merging import merge_walks
from loftline.runs.rural import Rural
from loftline.runs.stretched import Loop, Span, Stretched
from loftline.values import Bools, Ints

_AT_ONCE, _SHARE_AT_ONCE = 6, 0.125
"""Rings cut at a time, those first where the most is passed for nothing: so many, and that
share of all where these are more."""

_MERGED, _WORK_MERGED = 6, 1_500_000
"""So many walks are merged, looking at so many states."""

Guide = Callable[[Contracted, Ints], list[Ints]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Refined:
    """What is known of a task.

    Attributes:
        walked: ``(m,)`` the best walk known.
        cost: of that, in thousandths.
        bound: no walk costs less, never above the cost.
    """

    walked: Ints
    cost: int
    bound: int


def refine(
    rural: Rural,
    which: Bools,
    walked: Ints,
    *,
    parted: int,
    guide: Guide,
    close: int,
    work: int,
    step: Step,
) -> Refined:
    """Look for the least walk through rings.

    Args:
        rural: the task.
        which: ``(pieces,)`` the rings.
        walked: ``(m,)`` the best walk known.
        parted: how often rings are parted by what they face before they are cut.
        guide: other walks of the whole that a walk of a smaller task leads to.
        close: so much may be left open.
        work: how many states the sweeps may look at, and as many more those of merged walks.
        step: progress callback.
    """
    stretched = Stretched(rural, which, parted)
    known = int(rural.cost @ walked)
    walks = [walked]
    bound, left, spare = 0, work, work
    most = max(_AT_ONCE, int(_SHARE_AT_ONCE * rural.pieces))
    last: list[tuple[int, Loop, list[Span]]] = []
    while left > 0:
        small = merged(rural, stretched.name)
        # what lies above is near enough, and need not be told apart
        found = least_parted(small.rural, known - close, work=left, step=step)
        bound, left = max(bound, found.bound), left - found.states
        if found.walked is None and (found.states or not last or most < 2):
            break
        if found.walked is None:
            # too wide: fewer cuts at once
            stretched.mend()
            most //= 2
        else:
            done = complete(stretched, small, found.walked)
            fresh = [w for w in (done.walked, *guide(small, found.walked)) if _fine(rural, w)]
            walks = _cheapest(rural, [*walks, *fresh])
            for some in (walks[:_MERGED], [walks[0], *fresh]):
                share = min(spare, _WORK_MERGED)
                better, states = merge_walks(rural, some, known, work=share, step=step)
                spare = max(0, spare - states)
                if better is not None:
                    walks = _cheapest(rural, [*walks, better])
                known = int(rural.cost @ walks[0])
            last = sorted(done.passed, key=lambda each: -each[0])
        if known - bound <= close:
            break
        stretched.keep()
        cut = [stretched.cut(loop, spans) for _, loop, spans in last[:most]]
        if not any(cut):
            break
    return Refined(walked=walks[0], cost=known, bound=min(bound, known))


def _cheapest(rural: Rural, walks: list[Ints]) -> list[Ints]:
    """Different walks, the cheapest first."""
    different = {walked.tobytes(): walked for walked in walks}
    return sorted(different.values(), key=lambda walked: int(rural.cost @ walked))


def _fine(rural: Rural, walked: Ints) -> bool:
    return rural.even(walked) and rural.joined(walked)

"""What sewing besides the lines costs, in millimetres of sewing (our own figures, settable).

A thread cut stops the machine for 6 to 20 s, at 600 stitches of 3 mm a minute as long as 180
to 600 mm of sewing; it is priced lower, since travel is thread and machine time too. Travel
in the waste harms nothing; round a keep-out it shows where the hardware lies; a line sewn
over again shows most. A step from one closed line to the next shows as much as that.

Guided by hand a cut off the edge needs no tie, since the trimmed tails are caught in the
seam; one inside is pulled up, knotted and buried, twice (quilting practice). A turn takes
4 s, at half speed as long as 60 mm of sewing; it is priced lower, since after a cut the
panel is swung round just as well.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from loftline.project import Project
from loftline.values import Bools, Floats

EDGE_COST = 0.5
"""Per millimetre of travel along the panel's edge."""

RING_COST = 1.5
"""Per millimetre of travel round a keep-out."""

DOUBLE_COST = 2.0
"""Per millimetre of a line sewn over again."""

CUT_COST = 120.0
"""A thread cut at the edge with its tie-off and tie-in."""

CUT_INSIDE_COST = 124.0
"""A thread cut inside: hardly more, so that runs end in the waste where that costs the same."""

HAND_CUT_COST = 100.0
"""By hand, off the edge: snip, find the next start, hold both threads; no tie."""

HAND_CUT_INSIDE_COST = 400.0
"""By hand, inside: four thread ends pulled up, knotted and buried besides."""

HAND_TURN_COST = 20.0
"""By hand: needle down, foot up, swing the panel, foot down."""

FEWEST_CUTS_COST = 1e5
"""A thread cut when cuts are to be fewest: dearer than any travel on a panel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Costs:
    """Prices in millimetres of sewing.

    Attributes:
        edge: of a millimetre of travel along the edge.
        keep_out: of a millimetre of travel round a keep-out.
        double: of a millimetre sewn over again, or stepped over to a closed line.
        cut: of a thread cut whose two ends lie at the edge.
        cut_inside: of one whose two ends lie inside; one end of each costs half of both.
        turn: of a turn of the panel at the end of a line. It steers, and is counted apart.
        round_keep_outs: whether the needle may travel round keep-outs at all.
    """

    edge: float = EDGE_COST
    keep_out: float = RING_COST
    double: float = DOUBLE_COST
    cut: float = CUT_COST
    cut_inside: float = CUT_INSIDE_COST
    turn: float = 0.0
    round_keep_outs: bool = True

    def of_ends(self, at_edge: Bools) -> Floats:
        """What a run's end costs at each node: half a thread cut."""
        return np.where(at_edge, self.cut, self.cut_inside) / 2


BY_MACHINE: Final = Costs()
"""Where a computerized machine moves the panel: it turns nothing."""

BY_HAND: Final = Costs(cut=HAND_CUT_COST, cut_inside=HAND_CUT_INSIDE_COST, turn=HAND_TURN_COST)
"""Where the maker moves it."""


def costs_of(project: Project) -> Costs:
    """The prices of a project: those given, the usual ones for the rest.

    With a walking foot there is no travel round keep-outs: it goes straight, or nearly so.
    """
    usual = BY_HAND if project.machine.guided == "hand" else BY_MACHINE
    given = project.costs
    cut = usual.cut if given.cut is None else given.cut
    # who says what a cut costs means one inside too, unless it is said
    inside = max(usual.cut_inside, cut) if given.cut_inside is None else given.cut_inside
    return Costs(
        edge=given.edge,
        keep_out=given.keep_out,
        double=given.double,
        cut=cut,
        cut_inside=inside,
        turn=usual.turn if given.turn is None else given.turn,
        round_keep_outs=project.machine.foot_kind != "walking foot",
    )

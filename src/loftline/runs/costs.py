"""What travel costs, in millimetres of sewing (our own figures, settled by what a maker minds).

A thread cut stops the machine for 6 to 20 s, at 600 stitches of 3 mm a minute as long as 180
to 600 mm of sewing; it is priced lower, since travel is thread and machine time too. Travel
in the waste harms nothing; round a keep-out it shows where the hardware lies; a line sewn
over again shows most.
"""

from __future__ import annotations

EDGE_COST = 0.5
"""Per millimetre of travel along the panel's edge."""

RING_COST = 1.5
"""Per millimetre of travel round a keep-out."""

DOUBLE_COST = 2.0
"""Per millimetre of a line sewn over again."""

CUT_COST = 120.0
"""A thread cut with its tie-off and tie-in."""

FEWEST_CUTS_COST = 1e5
"""A thread cut when cuts are to be fewest: dearer than any travel on a panel."""

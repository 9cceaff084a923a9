"""One bag quilted in several ways, side by side."""

from __future__ import annotations

from dataclasses import dataclass

from loftline.values.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One way to quilt the bag, planned.

    Attributes:
        name: what is different about it, in the maker's words.
        yours: whether it is what the project file says.
    """

    name: str
    plan: Plan
    yours: bool = False

    @property
    def widest_gap(self) -> float | None:
        """Diameter of the widest circle without a line, mm, where there is ground to quilt."""
        return self.plan.report.extra.get("widest_gap")

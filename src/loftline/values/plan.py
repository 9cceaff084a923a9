"""The whole plan as one value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from loftline.errors import Finding
from loftline.values.panel import Panel
from loftline.values.report import Report
from loftline.values.sewing import Hooping, Lines, Network, Runs, Sewn

if TYPE_CHECKING:
    from loftline.project import Project


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything computed for one project file."""

    project: Project
    panel: Panel
    lines: Lines
    network: Network
    hoopings: tuple[Hooping, ...]
    runs: Runs
    sewn: Sewn
    report: Report
    findings: tuple[Finding, ...]

    @property
    def clean(self) -> bool:
        """Whether no finding is an error."""
        return all(finding.severity != "error" for finding in self.findings)

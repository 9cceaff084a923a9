"""Hooping: the field the needle can reach, over the panel."""

from __future__ import annotations

from loftline.project import Project
from loftline.values import Hooping

__all__ = ["make_hoopings"]


def make_hoopings(project: Project) -> tuple[Hooping, ...]:
    """One hooping for the whole panel; its field is the hoop less the margin on each side.

    A panel larger than the field is found by the checks.
    """
    hoop, margin = project.machine.hoop, project.machine.hoop_margin
    if hoop is None:
        return (Hooping(field=None),)
    return (Hooping(field=(hoop[0] - 2 * margin, hoop[1] - 2 * margin)),)

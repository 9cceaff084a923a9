"""The size that was asked for."""

from __future__ import annotations

from loftline.cli.typed import UsageError
from loftline.project import Project


def one_size(project: Project, asked: str | None) -> Project:
    """The project of one size, the first where none is asked for."""
    sizes = dict(project.sized())
    if asked is None:
        return next(iter(sizes.values()))
    found = [name for name in sizes if name.casefold() == asked.strip().casefold()]
    if not project.sizes:
        raise UsageError(f"--size {asked}: this project has no sizes; leave the option out.")
    if not found:
        there = ", ".join(sizes)
        raise UsageError(f"--size: there is no size {asked!r}; there are {there}.")
    return sizes[found[0]]

"""Versions of what a plan's bytes depend on."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from typing import Final

LIBRARIES: Final = (
    "highspy",
    "loftline",
    "networkx",
    "numpy",
    "pyembroidery",
    "rectpack",
    "rustworkx",
    "scipy",
    "shapely",
)


@cache
def installed_versions() -> Mapping[str, str]:
    """Versions as installed; a library that is not installed is left out.

    This asks the environment, not the project: the same installation gives the same answer.
    """
    found = {}
    for name in LIBRARIES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            continue
    return found

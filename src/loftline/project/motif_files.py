"""Where the motifs that come along are found, and what they are called."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Final

from loftline.project.drawn import Refusal
from loftline.project.faults import listed, nearest
from loftline.units import show

ENDING: Final = ".svg"


def motif_names() -> tuple[str, ...]:
    """Names of the motifs that come along, in order.

    >>> "orange peel" in motif_names()
    True
    """
    found = (entry.name for entry in _folder().iterdir())
    stems = sorted(name.removesuffix(ENDING) for name in found if name.endswith(ENDING))
    return tuple(stem.replace("-", " ") for stem in stems)


def is_own_file(name: str) -> bool:
    """Whether a motif is a maker's own file, not one that comes along."""
    return name.casefold().endswith(ENDING)


def motif_bytes(name: str) -> bytes:
    """The drawing of a motif that comes along.

    Raises:
        Refusal: with one sentence, when there is none of that name.
    """
    names = motif_names()
    if name not in names:
        close = nearest(name.replace("-", " "), names)
        says = f"found {show(name)}; "
        says += f"did you mean {show(close)}?" if close else f"should be {_all(names)}"
        raise Refusal("file", says)
    return (_folder() / f"{name.replace(' ', '-')}{ENDING}").read_bytes()


def _all(names: tuple[str, ...]) -> str:
    return listed([*(show(name) for name in names), "a drawing of your own that ends in .svg"])


def _folder() -> Traversable:
    """Inside the package once it is installed; beside ``src`` where it is worked on."""
    package = files("loftline")
    inside = package / "motifs"
    return inside if inside.is_dir() else Path(str(package)).parents[1] / "motifs"

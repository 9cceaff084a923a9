"""Counts of what a drawing holds, so that none is read for ever."""

from __future__ import annotations

from loftline.project.drawn.drawing import Refusal
from loftline.project.drawn.limits import MOST_DRAWN_POINTS, MOST_ELEMENTS, MOST_NUMBERS


class Counts:
    """How much was read so far; each count refuses what is too much.

    Args:
        noun: what the elements of such a drawing are called, several of them.
    """

    def __init__(self, noun: str) -> None:
        self._noun = noun
        self._elements = 0
        self._numbers = 0
        self._points = 0

    def elements(self, count: int) -> None:
        """Elements, copies of what is drawn again counted each."""
        self._elements += count
        if self._elements > MOST_ELEMENTS:
            raise Refusal("file", f"the drawing has more than {MOST_ELEMENTS} {self._noun}")

    def numbers(self, count: int) -> None:
        """Numbers in paths."""
        self._numbers += count
        if self._numbers > MOST_NUMBERS:
            raise Refusal(
                "file", f"the paths hold more than {MOST_NUMBERS} numbers; simplify the drawing"
            )

    def points(self, count: int) -> None:
        """Points of curves once they are drawn as short straight pieces."""
        self._points += count
        if self._points > MOST_DRAWN_POINTS:
            raise Refusal("file", "the drawing has too many curves to be one panel")

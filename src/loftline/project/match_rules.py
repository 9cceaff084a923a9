"""Rules about a quilting design that is matched on the closed bag."""

from __future__ import annotations

from collections.abc import Iterator

from loftline.project.faults import Slip
from loftline.project.given import Given


def match_slips(given: Given, pattern: str) -> Iterator[Slip]:
    """Designs that can be matched, and no second say on where their lines lie."""
    match = given.text("match")
    straight = given.text("at_side_seam") == "straight"
    if given.has("at_side_seam") and match != "closed":
        yield Slip(("at_side_seam",), 'is for match = "closed"; add that, or take this key out')
    if match is None:
        return
    if pattern == "meander":
        yield Slip(("match",), "a meander wanders: none of its lines can run on; take this key out")
        return
    if given.raw("even_ends") is True:
        says = "lines matched on the closed bag have their place; take out even_ends or match"
        yield Slip(("even_ends",), says)
    if match == "spacing" and pattern not in {"channel", "grid"}:
        says = 'found "spacing"; only channels and grids are fitted so, '
        yield Slip(("match",), says + f'for {one_of(pattern)} use "closed"')
    if straight:
        yield from _straight(given, pattern)
    if straight or match == "spacing":
        yield from _fitted(given)
    elif given.text("at_keep_outs") == "bend":
        says = 'found "bend"; lines bend otherwise on each part and would not meet; take this key '
        yield Slip(("at_keep_outs",), says + "or match out")


def one_of(pattern: str) -> str:
    """A pattern in a sentence: an echo, a spiral, rays."""
    if pattern == "rays":
        return pattern
    return f"{'an' if pattern[0] in 'aeiou' else 'a'} {pattern}"


def _straight(given: Given, pattern: str) -> Iterator[Slip]:
    """Lines that run on straight round the bag."""
    if pattern != "channel" or given.has("wave_height"):
        says = 'found "straight"; only straight channels run on so, others as a "chevron"'
        yield Slip(("at_side_seam",), says)
    elif given.has("start_at") and given.raw("start_at") != "centre":
        says = "lines that run on straight round the bag have their place; take start_at out"
        yield Slip(("start_at",), says)


def _fitted(given: Given) -> Iterator[Slip]:
    """A spacing that is fitted to the flat panel."""
    if given.text("part", "all") != "all":
        says = 'lines that run on over the flat panel cover all of it: part = "all"; else use '
        yield Slip(("match",), says + 'match = "closed" with a chevron')
    if (given.number("uneven") or 0.0) > 0:
        says = "uneven lines have no spacing that could be fitted; take out uneven, or use "
        yield Slip(("uneven",), says + 'match = "closed" with a chevron')

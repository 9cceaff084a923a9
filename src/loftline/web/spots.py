"""Where on the panel a finding is, and which field of the page it is about."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from loftline.errors import Finding
from loftline.geometry import pole
from loftline.values import Panel, Plan, Point

_NUMBER: Final = r"(-?\d{1,6}(?:\.\d{1,3})?(?:e-?\d{1,2})?)"
_PLACE: Final = re.compile(rf"\({_NUMBER}, {_NUMBER}\)")
_FIELD: Final = re.compile(
    r"(?:panel|quilting|costs|thread|layers|machine|cutting|fills|hardware|keep_outs|regions|seams|"
    r"sizes|sheets|swatch|class)"
    r"(?:\[\d{1,4}\])?(?:\.[a-z_]{1,40}(?:\[\d{1,4}\])?){0,3}"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where to look.

    Attributes:
        at: a place on the panel, mm.
        names: things on the panel that it is about.
        field: path of the key it is about, as in ``fills[0].spacing``.
    """

    at: Point | None = None
    names: tuple[str, ...] = ()
    field: str | None = None


def spot_of(finding: Finding, plan: Plan) -> Spot:
    """Where a finding leads: the place it tells, else the first thing it names.

    Args:
        finding: of the plan.
        plan: whose panel it is about.
    """
    where = finding.where
    things = _things(plan.panel)
    kept = tuple(dict.fromkeys(_named(where, things)))
    told = _PLACE.search(where)
    key = _FIELD.match(where)
    at = (float(told[1]), float(told[2])) if told else things[kept[0]] if kept else None
    return Spot(at=at, names=kept, field=key[0] if key and not kept else None)


def _named(where: str, things: Mapping[str, Point]) -> Iterator[str]:
    """Things that a text names, in its order; a longer name goes before one that begins it."""
    names = sorted(filter(None, things), key=len, reverse=True)
    if names:
        either = "|".join(map(re.escape, names))
        yield from re.findall(rf"(?<!\w)(?:{either})(?!\w)", where)


def _things(panel: Panel) -> dict[str, Point]:
    """What may be named on a panel, with its place; hardware before parts."""
    things = {part.name: pole(part.area) for part in panel.parts if not part.area.is_empty}
    things |= {
        fold.name: (
            (fold.start[0] + fold.end[0]) / 2,
            (fold.start[1] + fold.end[1]) / 2,
        )
        for fold in panel.folds
    }
    things |= {dart.name: dart.tip for dart in panel.darts}
    things |= {region.name: pole(region.outline) for region in panel.regions}
    things |= {zone.name: pole(zone.outline) for zone in panel.keep_outs}
    return things | {piece.name: piece.at for piece in panel.pieces}

"""Independent looks at a plan that is sewn in several hoopings."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.values import Hooping, Kind, Plan
from support import spread

OWN_KINDS = (Kind.LINE, Kind.DOUBLE, Kind.TIE)


def hooped(
    panel: dict[str, Any],
    fill: dict[str, Any],
    machine: dict[str, Any],
    **tables: Any,  # noqa: ANN401 - any tables of the file
) -> Plan:
    """The plan of a pouch in a hoop."""
    document = {
        "format": 1,
        "name": "Spoke pouch",
        "panel": panel,
        "fills": [fill],
        "machine": machine,
        **tables,
    }
    return make_plan(parse_project(document))


def in_hoop(project: Project, **keys: Any) -> Project:  # noqa: ANN401 - any keys of the machine
    """The same project sewn by a machine with a hoop."""
    guided = {"guided": "machine", "foot_kind": None, "throat": None}
    return project.model_copy(
        update={"machine": project.machine.model_copy(update={**guided, **keys})}
    )


def steps(plan: Plan, hooping: Hooping | None = None) -> tuple[np.ndarray, np.ndarray]:
    """Ends ``(k, 2, 2)`` in mm and kinds of the stitches of one hooping, or of all."""
    sewn = plan.sewn if hooping is None else plan.sewn.part(hooping)
    at = np.column_stack([sewn.x, sewn.y]) / 10
    inner = np.flatnonzero(sewn.run[1:] == sewn.run[:-1])
    return np.stack([at[inner], at[inner + 1]], axis=1), sewn.kind[inner + 1]


def bare(plan: Plan, near: float = 0.2) -> np.ndarray:
    """Places on lines, ends among them, that no stitch of any hooping passes within ``near`` mm."""
    ends, kind = steps(plan)
    sewn = shapely.union_all(shapely.linestrings(ends[np.isin(kind, OWN_KINDS)]))
    shapely.prepare(sewn)
    ends_of = [plan.lines.line(i)[[0, -1]] for i in range(len(plan.lines))]
    places = np.concatenate([spread(plan, 0.25), *ends_of])
    return places[~shapely.dwithin(sewn, shapely.points(places), near)]


def astray(plan: Plan, near: float = 0.2) -> np.ndarray:
    """Ends of stitches sewn as lines, or over lines again, that lie on no line."""
    ends, kind = steps(plan)
    lines = [shapely.LineString(plan.lines.line(i)) for i in range(len(plan.lines))]
    drawn = shapely.union_all(lines)
    shapely.prepare(drawn)
    places = ends[np.isin(kind, (Kind.LINE, Kind.DOUBLE))].reshape(-1, 2)
    return places[~shapely.dwithin(drawn, shapely.points(places), near)]


def sewn_length(plan: Plan, *kinds: Kind) -> float:
    """Millimetres of stitches of some kinds."""
    ends, kind = steps(plan)
    return float(np.hypot(*np.diff(ends[np.isin(kind, kinds)], axis=1)[:, 0].T).sum())


def drawn_length(plan: Plan) -> float:
    """Millimetres of lines that must be sewn."""
    return sum(
        float(np.hypot(*np.diff(plan.lines.line(i), axis=0).T).sum())
        for i in range(len(plan.lines))
    )


def beyond_field(plan: Plan, hooping: Hooping) -> float:
    """How far a needle point lies outside the field about the file's zero, mm; else below 0."""
    sewn = plan.sewn.in_hoop(hooping)
    assert hooping.field is not None
    x, y = (
        np.abs(axis - zero).max() / 10
        for axis, zero in zip((sewn.x, sewn.y), sewn.origin, strict=True)
    )
    return float(max(x - hooping.field[0] / 2, y - hooping.field[1] / 2))

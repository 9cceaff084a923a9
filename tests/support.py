"""Random projects for property tests, and independent looks at a plan's promises."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from hypothesis import strategies as st
from shapely import MultiLineString

from loftline.errors import ProjectError
from loftline.panel import make_panel
from loftline.project import ORDERS, Project, parse_project
from loftline.project.fill_table import SETTINGS
from loftline.values import Kind, Plan
from support_shapes import Ground, grounds, tenths
from support_things import hardware, keep_outs, regions

Floats = npt.NDArray[np.float64]


ORDERS_BY_THEMSELVES = tuple(order for order in ORDERS if order != "from an edge")
"""Sewing orders that need nothing else."""

SHAPES = ("rectangle", "ellipse", "folded pouch", "polygon")


@st.composite
def panels(draw: st.DrawFn) -> dict[str, Any]:
    """The ``[panel]`` table of a small random panel."""
    shape = draw(st.sampled_from(SHAPES))
    width, height = draw(tenths(50, 220)), draw(tenths(50, 220))
    panel: dict[str, Any] = {
        "shape": shape,
        "seam_allowance": draw(st.sampled_from([0, 3, 8, 12.5])),
        "overhang": draw(st.sampled_from([0, 3, 10, 25])),
    }
    if shape == "polygon":
        # a star-shaped outline never crosses itself
        count = draw(st.integers(3, 9))
        turn = np.sort(
            draw(st.lists(st.integers(0, 359), min_size=count, max_size=count, unique=True))
        )
        share = draw(st.lists(tenths(0.5, 1.0), min_size=count, max_size=count))
        gaps = np.diff(np.append(turn, turn[0] + 360))
        if gaps.max() > 170:
            turn = np.arange(count) * 360 // count
        radius = np.array(share) * min(width, height) / 2
        angle = np.radians(turn)
        points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
        panel["points"] = np.round(points - points.min(axis=0), 2).tolist()
        if draw(st.booleans()):
            middle = -points.min(axis=0)
            size = min(width, height) * 0.05
            box = [(-size, -size), (size, -size), (size, size), (-size, size)]
            hole = np.round(middle + np.array(box), 2)
            if shapely.Polygon(panel["points"]).covers(shapely.Polygon(hole).buffer(0.5)):
                panel["holes"] = [hole.tolist()]
        return panel
    panel["width"] = width
    if shape == "folded pouch":
        body = draw(tenths(50, 120))
        panel |= {
            "body": body,
            "flap": round(body * draw(tenths(0.4, 1.0)), 1),
            "flap_inset": draw(st.sampled_from([0, 3])),
            "corner_radius": draw(st.sampled_from([0, 10, 20])),
        }
    else:
        panel["height"] = height
        if shape == "rectangle":
            panel["corner_radius"] = draw(st.sampled_from([0, 5, 20]))
    return panel


ROUND = ("echo", "spiral", "rays")
"""Designs of closed or curved lines that need no seed."""


@st.composite
def fills(draw: st.DrawFn, parts: tuple[str, ...], *, meander: bool) -> dict[str, Any]:
    """One ``[[fills]]`` entry."""
    straight = ["channel", "channel", "grid"]
    pattern = draw(st.sampled_from([*straight, "meander", *ROUND] if meander else straight))
    fill: dict[str, Any] = {"part": draw(st.sampled_from(parts)), "pattern": pattern}
    if pattern == "meander":
        return fill | {"spacing": draw(tenths(9, 25))}
    if pattern in ROUND:
        fill["spacing"] = draw(tenths(9, 25))
        if pattern == "echo":
            return fill | {"joined": draw(st.booleans())}
        return fill | draw(_start())
    fill["spacing"] = draw(tenths(5, 30))
    angle = draw(st.one_of(st.sampled_from([0, 45, 90, 135]), st.integers(0, 179)))
    if pattern == "grid":
        if draw(st.integers(0, 3)) == 0:
            return fill | {"setting": draw(st.sampled_from([*SETTINGS]))} | draw(_start())
        lists = [angle, [angle, angle + 60], [angle, angle + 60, angle + 120]]
        return fill | {"angle": draw(st.sampled_from(lists))}
    return fill | {"angle": angle} | draw(_channel_keys(fill["spacing"]))


def _start() -> st.SearchStrategy[dict[str, Any]]:
    place = st.lists(st.integers(-20, 200), min_size=2, max_size=2)
    return st.fixed_dictionaries({}, optional={"start_at": place})


@st.composite
def _channel_keys(draw: st.DrawFn, spacing: float) -> dict[str, Any]:
    """What makes a channel wavy, uneven, paired, even at its ends, or bend round keep-outs."""
    which = draw(st.sampled_from(["plain", "plain", "wavy", "uneven", "even ends", "bend"]))
    keys: dict[str, Any] = {}
    if which == "wavy":
        long = draw(tenths(5, 40))
        keys |= {"wave_length": long, "wave_height": round(long * draw(tenths(0.1, 0.7)), 2)}
    if which == "uneven":
        keys["uneven"] = draw(tenths(0, 1))
    if which == "even ends":
        keys["even_ends"] = True
    if which == "bend":
        keys["at_keep_outs"] = "bend"
    elif draw(st.integers(0, 3)) == 0:
        keys["paired"] = round(max(1.0, spacing * draw(tenths(0.2, 0.5))), 2)
    if which not in {"even ends", "bend"} and draw(st.integers(0, 2)) == 0:
        keys["match"] = "closed"
    return keys if which == "even ends" else keys | draw(_start())


@st.composite
def _layers_and_machine(draw: st.DrawFn) -> dict[str, Any]:
    sides = dict.fromkeys(("left", "right", "front", "back"), st.integers(3, 14))
    guided = draw(st.sampled_from(["", "", "machine", "hand"]))
    reach = draw(st.sampled_from(["overhang", "overhang", "outline", "seam line"]))
    tables: dict[str, Any] = {
        "layers": {"foam_to": reach, "contents": draw(st.sampled_from([0, 15]))}
    }
    if guided:
        tables["machine"] = {"guided": guided, "foot": draw(st.fixed_dictionaries(sides))}
    if guided == "hand":
        tables["machine"] |= draw(
            st.fixed_dictionaries(
                {"guide_bar": st.sampled_from(["left", "right"])},
                optional={
                    "foot_kind": st.sampled_from(["walking foot", "free-motion foot"]),
                    "throat": st.integers(60, 250),
                },
            )
        )
    return tables


@st.composite
def projects(
    draw: st.DrawFn, *, meander: bool = True, on: st.SearchStrategy[Ground] | None = None
) -> Project:
    """A project over all shapes that can be planned: what its file refuses is taken out."""
    ground = draw(grounds() if on is None else on)
    drawn_pieces = draw(regions(ground))
    names = ("all", *ground.parts, "all", *(region["name"] for region in drawn_pieces))
    return without_faults(
        {
            "format": 1,
            "name": "Random pouch",
            "seed": draw(st.integers(0, 50)),
            "panel": ground.table,
            "hardware": draw(hardware(ground)),
            "keep_outs": draw(keep_outs(ground)),
            "regions": drawn_pieces,
            "fills": draw(st.lists(fills(names, meander=meander), min_size=1, max_size=2)),
            "quilting": {
                "stitch_length": draw(tenths(1.5, 5)),
                "edge": draw(st.sampled_from(["overhang", "overhang", "seam allowance", "none"])),
                "order": draw(st.sampled_from([*("least cost",) * 3, *ORDERS_BY_THEMSELVES])),
                "placing_tolerance": draw(st.sampled_from([0, 0, 1.5])),
                "draw_in": draw(st.sampled_from([0, 0, 2])),
            },
            **draw(_layers_and_machine()),
        }
    )


_ENTRY = re.compile(r"hardware\[\d+\]\.mate|(panel\.)?\w+(\[\d+\])?")


def without_faults(document: dict[str, Any]) -> Project:
    """The project less every entry that is refused, one round of faults after another.

    What is refused, and in which words, is tested elsewhere. Of a piece whose other half
    closes onto nothing only the other half is taken out.
    """
    for _ in range(8):
        try:
            project = parse_project(document)
            make_panel(project)
        except ProjectError as error:
            found = [_ENTRY.match(fault.where) for fault in error.faults]
            document = _less(document, {match.group() for match in found if match}, "")
            document["fills"] = document["fills"] or [{"pattern": "channel"}]
            document["panel"].setdefault("seam_allowance", 0)
        else:
            return project
    raise AssertionError(f"still refused: {document}")


def _less(value: Any, gone: set[str], where: str) -> Any:  # noqa: ANN401 - any table of the file
    """The value without the entries at some key paths."""
    if isinstance(value, dict):
        inner = {key: f"{where}.{key}" if where else key for key in value}
        return {k: _less(v, gone, inner[k]) for k, v in value.items() if inner[k] not in gone}
    if isinstance(value, list):
        numbered = [(entry, f"{where}[{i}]") for i, entry in enumerate(value)]
        return [_less(entry, gone, path) for entry, path in numbered if path not in gone]
    return value


def stitches(plan: Plan) -> tuple[Floats, npt.NDArray[np.int64]]:
    """Ends ``(k, 2, 2)`` in mm and kinds of all stitches, runs apart."""
    xy = np.column_stack([plan.sewn.x, plan.sewn.y]) / 10
    inner = np.flatnonzero(plan.sewn.run[1:] == plan.sewn.run[:-1])
    return np.stack([xy[inner], xy[inner + 1]], axis=1), plan.sewn.kind[inner + 1]


def drawn(plan: Plan, what: npt.NDArray[np.bool_]) -> MultiLineString:
    """Some of the network's edges as one geometry."""
    network = plan.network
    return MultiLineString(
        [
            network.points[network.starts[e] : network.starts[e + 1]]
            for e in np.flatnonzero(what).tolist()
        ]
    )


def spread(plan: Plan, step: float = 0.7) -> Floats:
    """Points along every line that must be sewn."""
    points = []
    for i in range(len(plan.lines)):
        line = shapely.LineString(plan.lines.line(i))
        points.append(
            shapely.get_coordinates(
                shapely.line_interpolate_point(line, np.arange(0, line.length, step))
            )
        )
    return np.concatenate(points) if points else np.empty((0, 2))


def segments(ends: Floats) -> MultiLineString:
    """Stitches as one geometry."""
    return MultiLineString(list(ends))


__all__ = [
    "Kind",
    "drawn",
    "fills",
    "projects",
    "segments",
    "spread",
    "stitches",
    "without_faults",
]

"""Random projects over everything that the numbers of a bag depend on, in any unit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

from loftline.project import Project, parse_project
from loftline.units import MM_PER_INCH


@dataclass(frozen=True)
class Parts:
    """A length in 64ths of an inch, still to be written: no unit has to round it."""

    count: int

    def number(self, units: str) -> float:
        """The bare number of a project file."""
        return self.count / 64 if units == "in" else round(self.count * MM_PER_INCH / 64, 6)


def written(document: Mapping[str, Any], units: str = "mm") -> Project:
    """The project with its bare numbers in millimetres or inches."""

    def number(value: Any) -> Any:  # noqa: ANN401 - any value of the file
        if isinstance(value, Parts):
            return value.number(units)
        if isinstance(value, Mapping):
            return {key: number(item) for key, item in value.items()}
        if isinstance(value, Sequence) and not isinstance(value, str):
            return [number(item) for item in value]
        return value

    return parse_project({**number(document), "units": units})


def _mm(low: float, high: float) -> st.SearchStrategy[Parts]:
    part = MM_PER_INCH / 64
    return st.integers(math.ceil(low / part), math.floor(high / part)).map(Parts)


def _some(**keys: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Some of these keys."""
    return st.fixed_dictionaries({}, optional=keys)


PANELS = st.one_of(
    st.fixed_dictionaries(
        {"shape": st.just("rectangle"), "width": _mm(60, 160), "height": _mm(60, 160)},
        optional={"corner_radius": _mm(0, 20), "overhang": _mm(0, 30)},
    ),
    st.fixed_dictionaries(
        {
            "shape": st.just("folded pouch"),
            "width": _mm(90, 160),
            "body": _mm(70, 100),
            "flap": _mm(40, 60),
        },
        optional={"seam_allowance": _mm(4, 12)},
    ),
    st.fixed_dictionaries(
        {
            "shape": st.just("boxed tote side"),
            "width": _mm(150, 200),
            "height": _mm(120, 160),
            "depth": _mm(20, 50),
        }
    ),
    st.fixed_dictionaries(
        {"shape": st.just("zip pouch side"), "width": _mm(80, 160), "height": _mm(60, 120)}
    ),
    st.fixed_dictionaries(
        {"shape": st.just("strap"), "length": _mm(150, 300), "width": _mm(50, 90)}
    ),
    st.fixed_dictionaries(
        {"shape": st.just("ellipse"), "width": _mm(80, 160), "height": _mm(60, 120)}
    ),
)

SPOOLS = st.one_of(
    _some(
        tex=st.sampled_from([5, 10, 16.7, 25, 40, 70, 150]),
        metres=st.sampled_from([1, 8, 30, 250, 1000]),
        price=st.sampled_from([0, 1.95, 4.2]),
    ),
    st.fixed_dictionaries({"weight": st.sampled_from(["50 wt", "Ne 50/2", "ticket 40"])}),
)

_LAYERS = st.lists(st.sampled_from(["outer", "foam", "lining"]), min_size=1, max_size=5)

SEAMS = st.lists(
    st.one_of(
        st.fixed_dictionaries(
            {"name": st.sampled_from(["tab", "loop", "binding"])},
            optional={
                "stitch_length": _mm(1, 6),
                "passes": st.integers(0, 4),
                "thread": st.sampled_from(["sewing", "quilting"]),
                "through": _LAYERS,
                "type": st.sampled_from(["301", "304", "401", "504"]),
            },
        ).flatmap(
            lambda seam: st.one_of(
                _mm(5, 900).map(lambda length: {**seam, "length": length}),
                st.just({**seam, "edges": ["outline"]}),
            )
        ),
        st.fixed_dictionaries(
            {"name": st.just("zigzag round the panel before trimming")},
            optional={
                "passes": st.integers(0, 3),
                "width": _mm(1, 8),
                "thread": st.sampled_from(["sewing", "quilting"]),
            },
        ),
    ),
    max_size=3,
    unique_by=lambda seam: str(seam["name"]),
)

CUTTING = _some(
    lining=st.booleans(),
    gap=_mm(0, 20),
    pockets=st.lists(
        st.fixed_dictionaries(
            {"name": st.just("map pocket"), "width": _mm(30, 90), "height": _mm(30, 90)},
            optional={
                "count": st.integers(1, 3),
                "material": st.sampled_from(["outer", "lining"]),
                "seam_allowance": st.sampled_from(["included", "add"]),
            },
        ),
        max_size=1,
    ),
)

MACHINES = _some(
    guided=st.sampled_from(["machine", "hand"]),
    stitches_per_minute=st.sampled_from([300, 600, 1000]),
    at_cuts=st.sampled_from(["trim", "stop"]),
    held=st.sampled_from(["floated", "clamped"]),
)

LAYERS = _some(
    outer=_some(
        kind=st.sampled_from(["cotton", "waxed canvas", "vinyl", "moss"]),
        thickness=_mm(0.25, 3),
    ),
    foam=_some(
        kind=st.sampled_from(["foam", "fusible foam", "fleece", "wool batting", "none"]),
        thickness=_mm(0.5, 8),
    ),
    lining=_some(thickness=_mm(0.25, 2)),
    foam_to=st.sampled_from(["overhang", "outline", "seam line"]),
)


@st.composite
def _swatches(draw: st.DrawFn) -> dict[str, Any]:
    count = draw(st.integers(1, 3))
    threads = st.lists(_mm(100, 260), min_size=count, max_size=count)
    both = {"needle": draw(threads), "bobbin": draw(threads)}
    sizes = {
        key: draw(st.lists(_mm(low, high), min_size=2, max_size=2))
        for key, low, high in (("before", 98, 102), ("after", 94, 98))
    }
    return draw(st.sampled_from([both, sizes, both | sizes]))


@st.composite
def bags(draw: st.DrawFn) -> dict[str, Any]:
    """A project file with its lengths still to be written; most keys left out most of the time."""
    panel = draw(PANELS)
    document: dict[str, Any] = {
        "name": "Spoke pouch",
        "panel": panel,
        "fills": [{"pattern": "channel", "angle": 0, "spacing": draw(_mm(18, 40))}],
        "copies": draw(st.sampled_from([1, 2, 12, 40])),
    }
    quilting: dict[str, Any] = draw(
        _some(stitch_length=_mm(1.5, 6), allow_for_draw_in=st.booleans())
    )
    thread = draw(
        _some(needle=SPOOLS, bobbin=SPOOLS, sewing=SPOOLS, waste=st.sampled_from([0, 0.2]))
    )
    layers = draw(LAYERS)
    swatch = draw(st.none() | _swatches())
    if swatch is not None:
        document["swatch"] = swatch
    elif draw(st.booleans()):
        quilting["draw_in"] = draw(st.sampled_from([0, 1.5, 6]))
        layers["sewn_thickness"] = draw(_mm(0.25, 6))
        thread["needle_share"] = draw(st.sampled_from([0, 0.3, 1]))
    tables = {"quilting": quilting, "thread": thread, "layers": layers}
    tables["machine"] = draw(MACHINES)
    document |= {name: table for name, table in tables.items() if table}
    for name, strategy in (("seams", SEAMS), ("cutting", CUTTING)):
        if draw(st.booleans()):
            document[name] = draw(strategy)
    if draw(st.booleans()):
        group = {"students": st.integers(1, 30), "machines": st.integers(1, 9)}
        document["class"] = draw(st.fixed_dictionaries(group))
    if draw(st.booleans()):
        at = {
            "from": "flap edge" if panel["shape"] == "folded pouch" else "top",
            "distance": Parts(64),
        }
        fitted = draw(st.sampled_from(["before quilting", "after quilting", "after lining"]))
        if panel["shape"] in ("rectangle", "folded pouch"):
            document["hardware"] = [{"kind": "sew-in magnet", "at": at, "fitted": fitted}]
    return document

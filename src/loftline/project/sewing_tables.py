"""Tables about the sewing: quilting, threads, layers, machine."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal, get_args

from pydantic import Field

from loftline.project import rules
from loftline.project.leaves import (
    Leaf,
    choice,
    choices,
    flag,
    length,
    number,
    text,
)
from loftline.project.list_leaves import hoop, sizes
from loftline.project.not_yet import LATER_FORMATS
from loftline.project.stitch_keys import LEAST_MM, MOST_MM, PER_INCH, with_length
from loftline.project.table import Rules, Table
from loftline.trade.thread_numbers import read_weight
from loftline.units import show

EdgeWay = Literal["overhang", "seam allowance", "none"]
Order = Literal[
    "least cost",
    "fewest cuts",
    "one way",
    "alternate",
    "centre out",
    "beside the last line",
    "from an edge",
]
ORDERS: tuple[Order, ...] = get_args(Order)
FootKind = Literal["walking foot", "free-motion foot"]
GuideBar = Literal["left", "right"]
Held = Literal["floated", "clamped"]
HoopTurning = Literal["none", "all alike", "each"]
HOOP_TURNINGS: tuple[HoopTurning, ...] = get_args(HoopTurning)
HoopingOrder = Literal["along the panel", "centre out"]
HOOPING_ORDERS: tuple[HoopingOrder, ...] = get_args(HoopingOrder)
MOST_HOOPS = 12
_HOOP = hoop(20, 2000)

FORMATS: tuple[str, ...] = (
    "dst",
    "exp",
    "pes",
    "jef",
    "vp3",
    "u01",
    "xxx",
    "gcode",
    "svg",
    "pdf",
    "csv",
    "json",
)
"""Files that can be asked for in ``machine.formats`` and by ``--format``."""

_DEFAULT_TEX = 25.0  # 40 wt, a common quilting cotton


class QuiltingSpec(Table):
    """How the lines are sewn."""

    table: ClassVar[str] = "quilting"
    more_keys: ClassVar[tuple[str, ...]] = (PER_INCH,)
    rules: ClassVar[Rules | None] = rules.quilting

    stitch_length: Annotated[float, length(least=LEAST_MM, most=MOST_MM)] = Field(
        3.0, description="stitch length aimed at; or give stitches_per_inch"
    )
    edge: Annotated[EdgeWay, choice("overhang", "seam allowance", "none")] = Field(
        "overhang", description="where the needle may travel along the edge"
    )
    order: Annotated[Order, choice(*ORDERS)] = Field(
        "least cost",
        description="what the sewing order saves first, or how a maker orders channels by habit; "
        "loftline plan --orders shows the price of each",
    )
    from_edge: Annotated[str | None, text()] = Field(
        None,
        description='order "from an edge": the edge that is closed already, or a fold, such as '
        '"bottom" or "lower fold"; the lines next to it are sewn first, the others away from it',
    )
    placing_tolerance: Annotated[float, length(least=0, most=20)] = Field(
        0.0,
        description="how far off a piece may be placed: every zone that no needle may enter "
        "reaches that much farther",
    )
    draw_in: Annotated[float, number(least=0, most=20, hint=" percent")] = Field(
        0.0,
        description="how much the panel shrinks by quilting, in percent; a [swatch] with its sizes "
        "tells it instead. Every zone reaches farther by this share of its distance from the "
        "panel's centre",
    )
    allow_for_draw_in: Annotated[bool, flag()] = Field(
        default=False,
        description="draw everything larger by the expected draw-in, so that outline, lines and "
        "hardware are right once the panel has shrunk; the draw-in is that of the swatch, of "
        "draw_in, or by the distance between lines",
    )
    sewn_from: Annotated[Literal["outer", "back"], choice("outer", "back")] = Field(
        "outer",
        description="the side that lies up under the needle: the outer fabric, or the back. From "
        "the back the bobbin thread shows on the outer fabric; stitch files and everything "
        "printed are mirrored left to right, as the panel then lies",
    )

    @classmethod
    def prepare(cls, given: dict[str, object]) -> None:
        """Turn stitches per inch into the stitch length."""
        with_length(given)


class SpoolSpec(Table):
    """One of the two threads."""

    table: ClassVar[str] = "needle or bobbin"
    rules: ClassVar[Rules | None] = rules.spool

    tex: Annotated[float | None, number(least=1, most=1000)] = Field(
        None, description="thickness in tex (grams of 1000 m); by default 25, a 40 wt"
    )
    weight: Annotated[str | None, Leaf(lambda v, _: _checked_weight(v), {"type": "string"})] = (
        Field(
            None,
            description='thickness with its meaning, such as "40 wt", "Nm 80/2", "Ne 50/2", '
            '"den 300" or "ticket 120"',
        )
    )
    metres: Annotated[float | None, number(over=0, most=50_000)] = Field(
        None, description="thread on the spool or bobbin, in metres; a bobbin holds at most 1000"
    )
    price: Annotated[float | None, number(least=0, most=1e6)] = Field(
        None, description="price of a spool, in your own currency"
    )

    @property
    def tex_value(self) -> float:
        """Thickness in tex, whichever way it was given."""
        if self.tex is not None:
            return self.tex
        return _DEFAULT_TEX if self.weight is None else read_weight(self.weight)


def _checked_weight(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError(  # noqa: TRY004 - one kind of error for every bad value
            f'found {show(value)}; should be words that say what the number means, such as "40 wt"'
        )
    read_weight(value)
    return value.strip()


class ThreadSpec(Table):
    """Needle thread and bobbin thread."""

    table: ClassVar[str] = "thread"
    rules: ClassVar[Rules | None] = rules.threads

    needle: SpoolSpec = Field(
        SpoolSpec(),
        description="thread on top, in the needle; sewn from the back the two change places, so "
        "that the same one shows on the outer fabric",
    )
    bobbin: SpoolSpec = Field(
        SpoolSpec(), description="thread below; sewn from the back it goes through the needle"
    )
    sewing: SpoolSpec = Field(
        SpoolSpec(), description="thread for the seams of the bag, above and below"
    )
    needle_share: Annotated[
        float, number(least=0, most=1, hint=": it is a share, 0.5 for a balanced stitch")
    ] = Field(
        0.5,
        description="share of the thread through the layers that the needle thread gives: 0.5 "
        "where both lock half-way, more where they lock towards the underside, as a thick needle "
        "thread over a thin bobbin thread does",
    )
    waste: Annotated[
        float, number(least=0, most=1, hint=": it is a share, such as 0.15 for 15 %")
    ] = Field(0.15, description="share added for ends and losses")

    def turned_over(self) -> ThreadSpec:
        """The stitch turned over: what was on top lies below. Twice, the threads are as before.

        The bobbin stays the same one, so it holds less of a thicker thread, in proportion to
        tex; how much of its thread a spool on top holds is then not known.
        """
        top, below = self.needle, self.bobbin
        holds = below.metres and below.metres * below.tex_value / top.tex_value
        return self.model_copy(
            update={
                "needle": below.model_copy(update={"metres": None}),
                "bobbin": top.model_copy(update={"metres": holds}),
                "needle_share": 1 - self.needle_share,
            }
        )


class LayerSpec(Table):
    """One layer of the panel."""

    table: ClassVar[str] = "outer, foam or lining"

    kind: Annotated[str, text()] = Field(description='what it is, such as "cotton canvas"')
    thickness: Annotated[float | None, length(over=0, most=50)] = Field(
        None, description="loose thickness; by default that of its kind"
    )
    keeps_holes: Annotated[bool | None, flag()] = Field(
        None, description="outer fabric: whether every needle hole stays, as in waxed cloth"
    )
    heat: Annotated[bool | None, flag()] = Field(
        None, description="outer fabric: whether it may be ironed"
    )


class LayersSpec(Table):
    """What the panel is made of."""

    table: ClassVar[str] = "layers"
    rules: ClassVar[Rules | None] = rules.layers

    outer: LayerSpec = Field(LayerSpec(kind="cotton canvas"), description="outer fabric")
    foam: LayerSpec = Field(LayerSpec(kind="foam"), description="foam, fleece or batting")
    lining: LayerSpec = Field(LayerSpec(kind="cotton"), description="lining")
    sewn_thickness: Annotated[float | None, length(over=0, most=50)] = Field(
        None, description="thickness inside the drawn-down stitch, measured on a swatch"
    )
    foam_to: Annotated[
        Literal["overhang", "outline", "seam line"], choice("overhang", "outline", "seam line")
    ] = Field("overhang", description="how far the foam reaches")
    contents: Annotated[float | None, length(least=0)] = Field(
        None, description="thickness of what the bag holds"
    )

    @classmethod
    def prepare(cls, given: dict[str, object]) -> None:
        """A layer whose kind is not said is of the usual kind."""
        for key in ("outer", "foam", "lining"):
            layer = given.get(key)
            if isinstance(layer, Mapping) and "kind" not in layer:
                given[key] = {"kind": cls.model_fields[key].default.kind, **layer}


class FootSpec(Table):
    """How far the presser foot reaches from the needle on each side."""

    table: ClassVar[str] = "foot"

    left: Annotated[float, length(least=0, most=100)] = Field(description="reach to the left")
    right: Annotated[float, length(least=0, most=100)] = Field(description="reach to the right")
    front: Annotated[float, length(least=0, most=100)] = Field(description="reach to the front")
    back: Annotated[float, length(least=0, most=100)] = Field(description="reach to the back")


class HoopRoomSpec(Table):
    """What the foot needs beside the needle's field, by side of the hoop."""

    table: ClassVar[str] = "hoop_room"

    left: Annotated[float, length(least=0, most=200)] = Field(0.0, description="at the left")
    right: Annotated[float, length(least=0, most=200)] = Field(0.0, description="at the right")
    front: Annotated[float, length(least=0, most=200)] = Field(0.0, description="at the front")
    back: Annotated[float, length(least=0, most=200)] = Field(0.0, description="at the back")


class MachineSpec(Table):
    """The sewing machine."""

    table: ClassVar[str] = "machine"
    rules: ClassVar[Rules | None] = rules.machine

    guided: Annotated[Literal["machine", "hand"], choice("machine", "hand")] = Field(
        "machine", description="who moves the panel: a hoop, or you with a walking foot"
    )
    hoop: Annotated[tuple[float, float] | None, _HOOP] = Field(
        None,
        description="field the needle can reach in the hoop: [width, height], or a usual size in "
        'mm, such as "130 x 180"',
    )
    hoops: Annotated[tuple[tuple[float, float], ...], sizes(_HOOP, most=MOST_HOOPS)] = Field(
        (),
        description="the hoops you own, each as in hoop, at most 12, instead of hoop: the one that "
        "needs the fewest hoopings is taken",
    )
    hoop_margin: Annotated[float, length(least=0, most=500)] = Field(
        2.5, description="kept free inside the hoop's field, each side"
    )
    hoop_room: HoopRoomSpec = Field(
        HoopRoomSpec(),
        description="kept free besides where the foot would touch the hoop, by side as you sit at "
        "the machine; the middle of the hoop stays the zero of the files",
    )
    hoop_turning: Annotated[HoopTurning, choice(*HOOP_TURNINGS)] = Field(
        "all alike",
        description="whether the hoop may be turned by a quarter on the panel: not at all, in all "
        "hoopings alike, or in each row by itself, which can save a hooping",
    )
    hooping_order: Annotated[HoopingOrder, choice(*HOOPING_ORDERS)] = Field(
        "along the panel",
        description="which of several hoopings comes first: from the lower left to "
        "and fro, or the one nearest to the middle",
    )
    held: Annotated[Held | None, choice("floated", "clamped")] = Field(
        None,
        description="how the hoop holds the panel: laid on hooped backing (floated), or in the "
        "hoop itself (clamped); by default floated where outer fabric and foam are thicker than "
        "2 mm",
    )
    frame: Annotated[Literal["plain", "magnetic"], choice("plain", "magnetic")] = Field(
        "plain", description="what closes the hoop; a magnetic frame is kept away from magnets"
    )
    basting: Annotated[bool | None, flag()] = Field(
        None,
        description="whether a loose line is sewn first in each hooping to hold the panel on its "
        "backing; by default where it is floated in a hoop",
    )
    foot: FootSpec | None = Field(None, description="reach of the presser foot")
    foot_kind: Annotated[FootKind | None, choice("walking foot", "free-motion foot")] = Field(
        None,
        description="guided by hand: a walking foot sews forward only, on straight lines and wide "
        "curves; it ties without going back and does not go round keep-outs",
    )
    # a walking foot is about 25 mm long, and drags the upper layer aslant on tighter curves (our
    # own figure; makers say no more than "no tight curves")
    tightest_turn: Annotated[float, length(over=0, most=1000)] = Field(
        25.0,
        description="radius of the tightest curve that the walking foot follows; sharp corners "
        "are no matter, there the panel is turned under the needle",
    )
    throat: Annotated[float | None, length(over=0)] = Field(
        None,
        description="room between needle and pillar of the machine, at the right of the needle as "
        "you sit; the wide side of the panel is kept at the left",
    )
    guide_bar: Annotated[GuideBar, choice("left", "right")] = Field(
        "right",
        description='order "beside the last line": the side of the needle, as you sit, on which '
        "the bar follows the last line",
    )
    stitches_per_minute: Annotated[float, number(least=10, most=5000)] = Field(
        600.0, description="sewing speed, stitches in a minute"
    )
    longest_stitch: Annotated[float, length(least=1, most=12)] = Field(
        7.0, description="greatest step the machine sews"
    )
    at_cuts: Annotated[Literal["trim", "stop"], choice("trim", "stop")] = Field(
        "trim", description="what the machine does where the thread is cut"
    )
    formats: Annotated[tuple[str, ...], choices(*FORMATS, later=LATER_FORMATS)] = Field(
        ("dst",),
        description="files to write: dst, exp, pes, jef, vp3, u01, xxx, gcode, svg, pdf (full-size "
        "sheets), csv, json",
    )

"""Sentences for the maker: needle, thread, cloth, time; and the safety cautions."""

from __future__ import annotations

from collections.abc import Sequence

from loftline.project import Project
from loftline.project.faults import listed
from loftline.trade import fabrics, machines, needles
from loftline.trade.bobbins import BOBBINS
from loftline.trade.thread_numbers import NE_CONSTANT
from loftline.trade.threads import thread_diameter
from loftline.units import format_length
from loftline.values import BobbinChange, Bobbins, Panel

from .layers import loose_stack, loose_thickness
from .setting_up import foot_words, side_words, tension_words
from .time import time_model

NEEDLE_STRIKE = (
    "Hardware lies in the panel while you quilt: a needle that strikes metal breaks and its "
    "pieces fly. Wear glasses, sew the first round at slow speed, turn the wheel by hand near "
    "the hardware, and find every piece of a broken needle."
)
MAGNETS = (
    "Magnets: keep them 15 cm from pacemakers and implanted defibrillators. Two swallowed "
    "magnets can kill: get medical help at once. Enclose and secure them, use none in things "
    "for children, and keep them from cards and disks."
)
MAGNETS_CLING = (
    "Magnets cling to the machine's bed, plate and foot: fit them after quilting where the bag "
    "allows it, else slip a sheet of card under the panel and sew slowly."
)
MANUAL_FIRST = "The manual of your machine and local rules come first."

_MOST_CHANGES = 12
METRES_A_YARD = 0.9144

NEAR_LIFT = 0.75
"""Layers thicker than this share of what a presser foot lifts are told (common practice)."""
FINE_NM = 70

HOLES_STAY = (
    "This cloth keeps every hole: hold the layers with clips, not pins; use no iron and nothing "
    "fusible; sew no basting and no registration crosses where they show, as nothing can be "
    "picked out; ties are kept short."
)


def cautions(panel: Panel) -> tuple[str, ...]:
    """Safety sentences, only those that apply to the panel's hardware.

    Sources: a regulator's advice (15 cm), a consumer-safety commission (swallowed magnets),
    common practice for the rest.
    """
    first = [piece for piece in panel.pieces if piece.fitted == "before quilting"]
    found = []
    if first:
        found.append(NEEDLE_STRIKE)
    if any(piece.magnetic for piece in panel.pieces):
        found.append(MAGNETS)
        if any(piece.magnetic for piece in first):
            found.append(MAGNETS_CLING)
    return (*found, MANUAL_FIRST) if found else ()


def advice(project: Project, bobbins: Bobbins, extra_needles: float) -> tuple[str, ...]:
    """Sentences on needle, foot, tension, cloth, thread, bobbins and time, in that order.

    What is said in the order of work, such as the gauge, is not said again.
    """
    outer = project.layers.outer
    holes = fabrics.keeps_holes(outer.kind, told=outer.keeps_holes)
    return tuple(
        sentence
        for sentence in (
            _needle(project, holes=holes),
            foot_words(project),
            tension_words(project),
            side_words(project),
            HOLES_STAY if holes else "",
            *_weights(project),
            _bobbins(project, bobbins),
            _life(project, extra_needles),
            _stack(project),
            time_model(project),
        )
        if sentence
    )


def chosen_needle(project: Project) -> needles.Needle:
    """The needle for the project's thread, foam and cloth."""
    outer = project.layers.outer
    return needles.choose_needle(
        project.threaded.needle.tex_value,
        foam=foam_backed(project),
        keeps_holes=fabrics.keeps_holes(outer.kind, told=outer.keeps_holes),
    )


def foam_backed(project: Project) -> bool:
    """Whether foam, fleece or batting lies under the outer fabric."""
    return loose_thickness(project, "foam") > 0


def _needle(project: Project, *, holes: bool) -> str:
    """Which needle, and why."""
    needle, tex = chosen_needle(project), project.threaded.needle.tex_value
    thick = thread_diameter(tex)
    why = (
        f"thread of tex {tex:.3g} is about {thick:.2g} mm thick and should fill "
        f"at most {needles.THREAD_SHARE:.0%} of the needle"
    )
    if holes:
        why += "; cloth that keeps its holes wants 100 to 110"
    elif foam_backed(project) and needle.least > FINE_NM:
        why += "; a finer needle bends in foam"
    return f"Needle {needle.label}, {needle.point}: {why}."


def _weights(project: Project) -> Sequence[str]:
    """Which meaning of wt was used, once for each label; other numberings have one meaning."""
    told: dict[str, float] = {}
    for spool in (project.threaded.needle, project.threaded.bobbin):
        if spool.weight is not None and spool.tex is None and "w" in spool.weight.casefold():
            told.setdefault(spool.weight, spool.tex_value)
    return [
        f'Thread "{weight}" is read as tex {tex:.3g} (1000 divided by it). Some labels mean a '
        f"cotton count by the same words, tex {2 * NE_CONSTANT * tex / 1000:.3g} in two plies or "
        f"{3 * NE_CONSTANT * tex / 1000:.3g} in three: where yours gives tex, write that."
        for weight, tex in told.items()
    ]


def _bobbins(project: Project, bobbins: Bobbins) -> str:
    """How many bobbins, and where a full one goes in."""
    metres = f"{bobbins.metres:.0f} m" if bobbins.metres >= 10 else f"{bobbins.metres:.2g} m"
    if project.units in ("in", "yd"):
        metres += f" ({bobbins.metres / METRES_A_YARD:.0f} yd)"
    holds = f"A full bobbin holds {metres}"
    if not bobbins.told:
        holds = (
            f"A {BOBBINS[0].name} bobbin holds about {metres} of tex "
            f"{project.threaded.bobbin.tex_value:.3g} (an estimate: unwind one, measure it, "
            "and write its metres for a better figure)"
        )
    count = len(bobbins.changes) + 1
    if count == 1:
        return f"{holds}: one is enough for the quilting of all bags."
    told = [_change(change, project) for change in bobbins.changes[:_MOST_CHANGES]]
    more = len(bobbins.changes) - len(told)
    told += [f"{more} times more"] if more > 0 else []
    places = listed(told, "and")
    return (
        f"{holds}: wind {count:,}. By the high figure of the thread, put in a full bobbin {places}."
    )


def _change(change: BobbinChange, project: Project) -> str:
    copies = project.copies
    bag = f" of bag {change.bag}" if copies > 1 else ""
    if change.point is None:
        run = f"run {change.run + 1}{bag}"
        return f"before {f'bag {change.bag}' if change.run == 0 and copies > 1 else run}"
    where = "while the needle travels" if change.on_travel else "within a line"
    near = ""
    if change.at is not None:
        x, y = (format_length(round(c), project.units) for c in change.at)
        near = f", {x} from the left and {y} from below"
    return f"in run {change.run + 1}{bag} {where}{near}"


def _life(project: Project, count: float) -> str:
    if count <= 1:
        return ""
    return (
        f"Change the needle after {needles.LIFE_HOURS:g} hours of sewing: "
        f"{count:.0f} needles for {project.copies} bags."
    )


def _stack(project: Project) -> str:
    """Only where the layers come near to what the foot lifts."""
    stack = loose_stack(project)
    if stack < NEAR_LIFT * machines.FOOT_LIFT_MM:
        return ""
    return (
        f"Outer fabric and foam are {format_length(stack, project.units)} thick when loose; "
        f"a presser foot lifts about {format_length(machines.FOOT_LIFT_MM, project.units)}."
    )

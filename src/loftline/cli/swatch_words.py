"""What a maker does with the test piece."""

from __future__ import annotations

from loftline.project import SWATCH_MM
from loftline.units import Unit, format_length


def swatch_sentences(
    stitch_length: float, units: Unit, *, to_write: bool = False, outer_down: bool = False
) -> tuple[str, ...]:
    """Steps from marking to the keys of the project file.

    Args:
        stitch_length: of the test piece, mm.
        units: of the project file.
        to_write: whether the first design has another stitch length, so that it must be told.
        outer_down: whether the bag is sewn from the back.

    >>> swatch_sentences(3.0, "mm")[1].endswith("30 mm, else mend that first.")
    True
    """
    side = format_length(SWATCH_MM, units)
    ten = format_length(10 * stitch_length, units)
    face = "back, lay the outer fabric down" if outer_down else "outer fabric"
    lay = (
        f"Cut the layers as for the bag, mark a square of {side} on the {face}, and sew the "
        "lines over it in their order."
    )
    size = (
        "Measure the square again, along and across: write before = [width, height] and after = "
        "[width, height] under [swatch] in the project file."
    )
    thread = (
        f"Mark {side} along a line, cut both threads at the marks, unpick that length, lay each "
        "thread straight without pulling and measure it: write needle = [...] and bobbin = [...]. "
        "Three lines or more tell how much the readings scatter."
    )
    if outer_down:
        thread += (
            " needle is what went through the needle, the thread on the back; bobbin is the one "
            "that shows."
        )
    if to_write:
        thread += f' Write stitch_length = "{stitch_length:g} mm" there too.'
    then = (
        "From then on the thread, and how much the panel shrinks by quilting, are reckoned from "
        "your own figures."
    )
    return (lay, f"Ten stitches should measure {ten}, else mend that first.", size, thread, then)

"""Needle points as comma-separated values (RFC 4180)."""

from __future__ import annotations

import numpy as np

from loftline.values import KIND_WORDS, Sewn

HEADER = "number,x_mm,y_mm,run,kind"


def points_table(sewn: Sewn) -> bytes:
    """Needle points in sewing order, one a row.

    Args:
        sewn: needle points, tenths of a millimetre.

    Returns:
        RFC 4180 text in ASCII: lines end in CR LF, the first holds the names of the columns.
        ``number`` and ``run`` count from 1, as in the picture; ``x_mm`` and ``y_mm`` are
        millimetres in panel coordinates to one decimal; ``kind`` is that of the stitch that
        ends at the point. No field can hold a comma or a quote, so none is quoted. O(n).
    """
    rows = zip(
        range(1, len(sewn) + 1),
        (sewn.x / 10).tolist(),
        (sewn.y / 10).tolist(),
        (sewn.run + 1).tolist(),
        np.array(KIND_WORDS)[sewn.kind].tolist(),
        strict=True,
    )
    lines = [HEADER, *(f"{n},{x:.1f},{y:.1f},{run},{kind}" for n, x, y, run, kind in rows), ""]
    return "\r\n".join(lines).encode("ascii")

"""Spools, bobbin fills, price and needles for all bags of a batch."""

from __future__ import annotations

import math
from collections.abc import Mapping

from loftline.project import Project
from loftline.trade.needles import needles_for
from loftline.values import Band

from .time import speed


def supplies(project: Project, needle: Band, bobbin: Band, stitches: int) -> Mapping[str, float]:
    """What to have at hand; only what the project file gives the figures for.

    Args:
        project: with metres and prices of spool and bobbin.
        needle: needle thread for all bags, waste counted in, mm.
        bobbin: bobbin thread, likewise.
        stitches: of one bag.

    Returns:
        By name: ``needle_spools`` and ``bobbin_fills`` (whole, enough by the high figure),
        the same with ``_expected``, ``needle_price``, ``bobbin_price`` and their sum
        ``thread_price`` (in the file's money: a price is that of one spool or one filled
        bobbin), and ``needles`` at one for 8 hours of sewing.
    """
    extra: dict[str, float] = {}
    prices = []
    for name, count_word, spool, band in (
        ("needle", "needle_spools", project.thread.needle, needle),
        ("bobbin", "bobbin_fills", project.thread.bobbin, bobbin),
    ):
        if spool.metres is None:
            continue
        extra[count_word] = whole(band.high, spool.metres)
        extra[f"{count_word}_expected"] = whole(band.expected, spool.metres)
        if spool.price is not None:
            extra[f"{name}_price"] = round(extra[count_word] * spool.price, 2)
            prices.append(extra[f"{name}_price"])
    if prices:
        extra["thread_price"] = round(sum(prices), 2)
    extra["needles"] = float(needles_for(stitches * project.copies, speed(project)))
    return extra


def whole(millimetres: float, metres: float) -> float:
    """How many spools of so many metres hold a length.

    >>> whole(250_000, 100), whole(0, 100)
    (3.0, 0.0)
    """
    return float(math.ceil(millimetres / 1000 / metres - 1e-9))

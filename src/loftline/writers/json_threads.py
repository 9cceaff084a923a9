"""Seams, threads, bobbins, time, work and draw-in in the JSON document."""

from __future__ import annotations

from loftline.values import Band, Bobbins, DrawIn, Seam, ThreadTotal, TimeTable, WorkStep

DECIMALS = 2
"""Lengths are told to a hundredth of a millimetre."""

Json = dict[str, object]


def band(figure: Band) -> Json:
    """A figure with its uncertainty."""
    return {
        "low": round(figure.low, DECIMALS),
        "expected": round(figure.expected, DECIMALS),
        "high": round(figure.high, DECIMALS),
    }


def seam_document(seam: Seam) -> Json:
    """An entry of ``report.seams``; millimetres."""
    return {
        "name": seam.name,
        "type": seam.kind,
        "length": round(seam.length, DECIMALS),
        "passes": seam.passes,
        "stitch_length": round(seam.stitch_length, DECIMALS),
        "width": round(seam.width, DECIMALS),
        "through": list(seam.through),
        "thread": seam.thread,
        "usual": seam.usual,
        "stitches": seam.stitches,
        "pieces": seam.pieces,
        "needle_thread": band(seam.needle),
        "under_thread": band(seam.under),
    }


def thread_document(total: ThreadTotal) -> Json:
    """An entry of ``report.threads``; millimetres, but metres on a spool."""
    return {
        "name": total.name,
        "tex": round(total.tex, 4),
        "one": band(total.one),
        "batch": band(total.batch),
        "metres": total.metres,
        "to_buy": total.to_buy,
        "price": total.price,
    }


def bobbin_document(bobbins: Bobbins) -> Json:
    """What ``report.bobbins`` holds; runs and needle points count from 0, bags from 1."""
    return {
        "metres": round(bobbins.metres, DECIMALS),
        "told": bobbins.told,
        "left": round(bobbins.left, DECIMALS),
        "changes": [
            {
                "bag": change.bag,
                "run": change.run,
                "point": change.point,
                "on_travel": change.on_travel,
                "at": None if change.at is None else [round(c, DECIMALS) for c in change.at],
            }
            for change in bobbins.changes
        ],
    }


def time_document(times: TimeTable) -> Json:
    """An entry of ``report.times``; minutes for one bag."""
    return {
        "guided": times.guided,
        "parts": {word: round(minutes, DECIMALS) for word, minutes in times.parts.items()},
        "total": round(times.total, DECIMALS),
    }


def work_document(step: WorkStep) -> Json:
    """An entry of ``report.work``."""
    return {"title": step.title, "sentences": list(step.sentences)}


def draw_in_document(found: DrawIn) -> Json:
    """What ``report.draw_in`` holds; percent, and millimetres of the outline."""
    return {
        "along": band(found.along),
        "across": band(found.across),
        "source": found.source,
        "allowed": round(found.allowed, DECIMALS),
        "size": None if found.size is None else [round(side, DECIMALS) for side in found.size],
    }

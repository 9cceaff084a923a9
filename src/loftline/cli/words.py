"""Words that options take. They stand here again, so that ``--help`` need load nothing."""

from __future__ import annotations

from loftline import patterns

FORMATS = ("dst", "exp", "pes", "jef", "vp3", "u01", "xxx", "gcode", "svg", "pdf", "csv", "json")
PAPERS = ("a4", "letter", "one sheet")
SHEETS = (
    "overview",
    "panel",
    "hardware",
    "quilting",
    "guide lines",
    "order",
    "hoopings",
    "cutting",
    "materials",
)
SHAPES = (
    "folded pouch",
    "flat sleeve",
    "boxed tote side",
    "base",
    "zip pouch side",
    "strap",
    "rectangle",
    "ellipse",
    "polygon",
    "file",
)

ORDERS = (
    "least cost",
    "fewest cuts",
    "one way",
    "alternate",
    "centre out",
    "beside the last line",
    "from an edge",
)
PATTERNS = tuple(word for word in patterns.PATTERNS if word != "motif")
"""A motif is named by its own name."""

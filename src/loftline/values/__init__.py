"""What the stages hand on: frozen values, numpy arrays inside.

Unless a name says otherwise: millimetres, panel coordinates (x to the right, y up,
origin at the lower left of the outline's bounding box, outer fabric up).
Packed polylines are one ``(n, 2)`` array of points and an ``(m + 1,)`` array of offsets:
line ``i`` is ``points[starts[i]:starts[i + 1]]``.
"""

from loftline.values.closed import Affine, ClosedFace, Shown
from loftline.values.common import (
    KIND_WORDS,
    Area,
    Bends,
    Bools,
    ClosedTo,
    EdgeWay,
    Fitted,
    Floats,
    Ints,
    Kind,
    Material,
    Point,
    Quality,
    Sits,
    Way,
)
from loftline.values.panel import ClosedEdge, Dart, Fold, KeepOut, Panel, Part, Piece, Ways
from loftline.values.plan import Plan
from loftline.values.report import (
    Band,
    Cloth,
    CutPiece,
    CutPlace,
    CuttingList,
    Layout,
    OrderPrice,
    Report,
)
from loftline.values.sewing import (
    COST_WORDS,
    Field,
    Habit,
    Hooping,
    Lines,
    Network,
    Runs,
    Sewn,
)

__all__ = [
    "COST_WORDS",
    "KIND_WORDS",
    "Affine",
    "Area",
    "Band",
    "Bends",
    "Bools",
    "ClosedEdge",
    "ClosedFace",
    "ClosedTo",
    "Cloth",
    "CutPiece",
    "CutPlace",
    "CuttingList",
    "Dart",
    "EdgeWay",
    "Field",
    "Fitted",
    "Floats",
    "Fold",
    "Habit",
    "Hooping",
    "Ints",
    "KeepOut",
    "Kind",
    "Layout",
    "Lines",
    "Material",
    "Network",
    "OrderPrice",
    "Panel",
    "Part",
    "Piece",
    "Plan",
    "Point",
    "Quality",
    "Report",
    "Runs",
    "Sewn",
    "Shown",
    "Sits",
    "Way",
    "Ways",
]

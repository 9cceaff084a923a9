"""Names that all values share: arrays, places, areas, and the words of a few choices."""

from __future__ import annotations

from enum import IntEnum
from typing import Literal

import numpy as np
import numpy.typing as npt
from shapely import MultiPolygon, Polygon

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
Point = tuple[float, float]
Area = Polygon | MultiPolygon

Sits = Literal["inside", "above", "below"]
Fitted = Literal["before quilting", "after quilting", "after lining"]
Material = Literal["outer", "foam", "lining"]
EdgeWay = Literal["overhang", "seam allowance", "none"]
ClosedTo = Literal["nothing", "quilting", "travel", "both"]
Bends = Literal["flat", "square"]
Quality = Literal["full", "quick"]
Side = Literal["outer", "back"]


class Kind(IntEnum):
    """What a stitch is for; :data:`KIND_WORDS` holds the words of the JSON document."""

    LINE = 0
    TRAVEL = 1
    DOUBLE = 2
    TIE = 3
    REGISTRATION = 4
    BASTING = 5


KIND_WORDS: tuple[str, ...] = ("line", "travel", "double", "tie", "registration", "basting")


class Way(IntEnum):
    """What an edge of the network runs along."""

    LINE = 0
    EDGE = 1
    RING = 2
    STEP = 3

"""The shape of the JSON document, as JSON Schema (draft 2020-12)."""

from __future__ import annotations

from loftline.project import ORDERS
from loftline.values import COST_WORDS, KIND_WORDS

Schema = dict[str, object]


def document_schema() -> Schema:
    """The schema that :func:`loftline.writers.json_document.json_document` keeps to.

    All keys are fixed and required; only ``panel`` and ``report`` may gain keys in later
    versions, so a reader should pass over those it does not know there.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "loftline plan",
        **_table(
            {
                "format": {"const": 1, "description": "version of this document"},
                "name": _text("name of the bag"),
                "panel": _panel(),
                "keep_outs": _list(_keep_out(), "zones that no needle may enter while quilting"),
                "lines": _list(_polyline(), "every line that must be sewn, run-off included"),
                "stitches": _stitches(),
                "hoopings": _list(_hooping(), "placings of the panel in the hoop, in order"),
                "report": _report(),
                "findings": _list(_finding(), "results of all checks"),
            },
            "mm to 0.01 in panel coordinates: x to the right, y up, zero at the lower left of "
            "the outline's bounding box, outer fabric up",
        ),
    }


def _table(properties: Schema, description: str = "", *, closed: bool = True) -> Schema:
    return {
        "description": description,
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": not closed,
    }


def _list(items: Schema, description: str, **more: object) -> Schema:
    return {"description": description, "type": "array", "items": items, **more}


def _text(description: str) -> Schema:
    return {"description": description, "type": "string"}


def _number(description: str, **more: object) -> Schema:
    return {"description": description, "type": "number", **more}


def _count(description: str, least: int = 0) -> Schema:
    return {"description": description, "type": "integer", "minimum": least}


def _point(description: str = "x and y, mm") -> Schema:
    return _list({"type": "number"}, description, minItems=2, maxItems=2)


def _polyline() -> Schema:
    return _list(_point(), "points in order; a closed line repeats its first", minItems=2)


def _ring(description: str) -> Schema:
    return _list(_point(), f"{description}; repeats its first point", minItems=4)


def _panel() -> Schema:
    parts = {
        "description": 'outline of each part by its name; further pieces of a part are "name (2)"',
        "type": "object",
        "additionalProperties": _ring("outline of the part"),
    }
    return _table(
        {
            "outline": _ring("the cut edge"),
            "holes": _list(_ring("edge of a hole"), "holes in the panel"),
            "parts": parts,
            "folds": _list(_list(_point(), "start and end", minItems=2, maxItems=2), "fold lines"),
            "darts": _list(_dart(), "wedges that are cut or sewn out"),
            "fold_settings": _list(_fold(), "what is set for each fold, in the order of folds"),
            "closed_size": {
                "description": "width and height of the closed bag at its cut edges, mm; null "
                "without folds",
                "oneOf": [{"type": "null"}, _point("width and height, mm")],
            },
            "gussets": _list(_gusset(), "parts that stand square between two others when closed"),
            "standing": {
                "description": "width, height and depth of the bag as it stands on its boxed "
                "corners, as sewn, mm; null without them",
                "oneOf": [
                    {"type": "null"},
                    _list(_number("mm"), "width, height, depth", minItems=3, maxItems=3),
                ],
            },
            "closed": _closed(),
            "run_off": _number("mm that lines run off past the outline", minimum=0),
            "hardware": _list(_hardware(), "all pieces, whenever they are fitted"),
        },
        "the flat panel",
    )


def _gusset() -> Schema:
    return _table(
        {
            "name": _text("name of the part"),
            "depth": _number("mm between the two parts beside it when closed", minimum=0),
        }
    )


def _fold() -> Schema:
    return _table(
        {
            "name": _text("as in the project file"),
            "closed_to": {
                "description": "what may not cross it",
                "enum": ["nothing", "quilting", "travel", "both"],
            },
            "gap": _number("width of the strip without foam, mm", minimum=0),
            "crease": {"description": "whether a line is sewn along it", "type": "boolean"},
            "bends": {"description": "how it bends when closed", "enum": ["flat", "square"]},
        }
    )


def _closed() -> Schema:
    part = _table(
        {
            "part": _text("name of the part"),
            "up": _point("direction on the flat panel that points up in the closed bag"),
            "seen": _list(
                _list(_ring("a ring"), "rings of one piece, outside first", minItems=1),
                "what is seen of it, as the viewer of that face sees it",
            ),
        }
    )
    face = _table(
        {
            "size": _point("width and height as sewn, mm"),
            "parts": _list(part, "parts that are seen, innermost first"),
        }
    )
    return {
        "description": "the closed bag as sewn, the seam allowance taken up; empty without folds",
        "type": "object",
        "properties": {"front": face, "back": face},
        "additionalProperties": False,
    }


def _hardware() -> Schema:
    return _table(
        {
            "name": _text("as in the project file"),
            "kind": _text("as in the project file"),
            "at": _point("its centre, mm"),
            "outline": _ring("the hard edge"),
            "sits": _sits("where it sits"),
            "fitted": {
                "description": "when it is put in",
                "enum": ["before quilting", "after quilting", "after lining"],
            },
            "mate_of": _mate_of(),
            "face_up": {
                "description": "which face of a magnet lies towards the outer fabric; null for "
                "all else",
                "type": ["string", "null"],
            },
            "from_cut": _maybe("mm from its centre to the cut edge"),
            "from_finished": _maybe("the same less the seam allowance; negative within it"),
        }
    )


def _sits(description: str) -> Schema:
    return {"description": description, "enum": ["inside", "above", "below"]}


def _mate_of() -> Schema:
    return {
        "description": "name of the piece whose other half this is",
        "type": ["string", "null"],
    }


def _maybe(description: str) -> Schema:
    return {"description": description, "type": ["number", "null"]}


def _dart() -> Schema:
    return _table(
        {
            "name": _text("as in the project file"),
            "wedge": _ring("what goes, within the cut edge"),
            "tip": _point("where the legs meet, mm"),
            "ends": _list(_point(), "where the legs start on the edge", minItems=2, maxItems=2),
            "legs": _list(_number("mm", minimum=0), "lengths of the legs", minItems=2, maxItems=2),
            "seam": _number("mm of the seam that closes it", minimum=0),
        }
    )


def _keep_out() -> Schema:
    return _table(
        {
            "name": _text("as in the project file"),
            "outline": _ring("the hard edge"),
            "clearance": _number("mm from the hard edge to the needle", minimum=0),
            "sits": _sits("where it lies; a drawn zone counts as inside"),
            "mate_of": _mate_of(),
            "tolerance": _number("mm added for the tolerance of placing", minimum=0),
            "draw_in": _number("mm added for shrinking by quilting", minimum=0),
            "reach": _number(
                "mm that are kept all round: the three together, or more for the presser foot",
                minimum=0,
            ),
        }
    )


def _stitches() -> Schema:
    run: Schema = {"type": "integer", "minimum": 0}
    kind: Schema = {"enum": list(KIND_WORDS)}
    return _table(
        {
            "x": _list({"type": "number"}, "mm, whole tenths"),
            "y": _list({"type": "number"}, "mm, whole tenths"),
            "run": _list(run, "number of the run, from 0, on through the hoopings"),
            "kind": _list(
                kind,
                "kind of the stitch that ends at the point; a run's first point has that of "
                "its first stitch",
            ),
        },
        "needle points in sewing order over all hoopings; four lists of one length",
    )


def _hooping() -> Schema:
    return _table(
        {
            "files": {
                "description": "stitch files written for it, by ending, relative to this file",
                "type": "object",
                "additionalProperties": {"type": "string"},
            },
            "origin": _point("panel place of each file's zero, mm"),
            "first": _count("index of its first needle point in stitches"),
            "last": _count("index of its last needle point (inclusive); -1 if there is none", -1),
            "field": {
                "description": "width and height the needle can reach, mm; null without a hoop",
                "oneOf": [{"type": "null"}, _point("width and height, mm")],
            },
        }
    )


def _report() -> Schema:
    length = {
        "description": "mm sewn by kind; the first four always",
        "type": "object",
        "properties": {kind: _number("mm", minimum=0) for kind in KIND_WORDS},
        "required": ["line", "travel", "double", "tie"],
        "additionalProperties": False,
    }
    return _table(
        {
            "stitches": _count("stitches; one less than needle points for each run"),
            "runs": _count("runs"),
            "cuts": _count("thread cuts between runs"),
            "turns": _count("places where the panel is swung round"),
            "length": length,
            "needle_thread": _band("millimetres for one bag, waste not counted in"),
            "bobbin_thread": _band("millimetres for one bag, waste not counted in"),
            "minutes": _number("minutes at the machine", minimum=0),
            "cost": _number("travel, double stitching and cuts, in mm of sewing", minimum=0),
            "least_cost": _number("no order of sewing costs less; same unit", minimum=0),
            "optimal": {"description": "whether the two are proved equal", "type": "boolean"},
            "copies": _count("bags to make", 1),
            "versions": {
                "description": "versions of what made the plan",
                "type": "object",
                "additionalProperties": {"type": "string"},
            },
            "needle_batch": _band("millimetres for all bags, waste counted in"),
            "bobbin_batch": _band("millimetres for all bags, waste counted in"),
            "waste": _number("share added for ends and losses", minimum=0),
            "model": _text("how the thread was reckoned"),
            "advice": _list({"type": "string"}, "on needle, stitch and thread"),
            "cautions": _list({"type": "string"}, "on safety, to be read first"),
            "cost_parts": {
                "description": "the cost by what it is for, in mm of sewing; turns come besides",
                "type": "object",
                "properties": {
                    part: _number(words, minimum=0) for part, words in COST_WORDS.items()
                },
                "additionalProperties": False,
            },
            "order": _table(
                {
                    "name": {"description": "quilting.order of the project", "enum": list(ORDERS)},
                    "least_cost": _number("no plan in this order costs less", minimum=0),
                    "optimal": {
                        "description": "whether cost is proved equal to that",
                        "type": "boolean",
                    },
                    "free_cost": _number(
                        "cost of the plan of least cost found in any order", minimum=0
                    ),
                }
            ),
            "extra": {
                "description": "figures that only some plans have",
                "type": "object",
                "additionalProperties": {"type": "number"},
            },
            "cutting": {
                "description": "what is cut from which cloth, for all bags; null when not asked",
                "oneOf": [{"type": "null"}, _cutting()],
            },
        },
        "all for one bag unless said",
        closed=False,
    )


def _cutting() -> Schema:
    cut: Schema = {
        "name": _text("as in the project file"),
        "width": _number("mm as cut", exclusiveMinimum=0),
        "height": _number("mm as cut", exclusiveMinimum=0),
        "count": _count("pieces for one bag", 1),
        "in_all": _count("pieces for all bags", 1),
    }
    place: Schema = {
        "piece": _count("index into pieces"),
        "x": _number("mm across the cloth", minimum=0),
        "y": _number("mm along the cloth, from the layout's start", minimum=0),
        "width": _number("mm across, as it lies", exclusiveMinimum=0),
        "height": _number("mm along, as it lies", exclusiveMinimum=0),
        "turned": {"description": "whether it is turned by 90 degrees", "type": "boolean"},
    }
    layout: Schema = {
        "bags": _count("bags it holds the pieces of", 1),
        "times": _count("how often it is laid, one after the other", 1),
        "length": _number("mm of cloth", exclusiveMinimum=0),
        "places": _list(_table(place), "where the pieces lie"),
    }
    cloth: Schema = {
        "material": {"description": "layer", "enum": ["outer", "foam", "lining"]},
        "kind": _text("what the cloth is; may be empty"),
        "width": _number("usable width, mm", exclusiveMinimum=0),
        "one_way": {"description": "whether no piece is turned", "type": "boolean"},
        "pieces": _list(_table(cut), "pieces that fit on the cloth"),
        "too_large": _list(_table(cut), "pieces that do not, left out of all figures"),
        "layouts": _list(_table(layout), "layouts, in the order they are laid"),
        "length": _number("mm of cloth for all bags", minimum=0),
        "to_buy": _number("the same, rounded up to what shops cut", minimum=0),
        "least_length": _number("no layout is shorter, mm", minimum=0),
        "waste": _number("share of the cloth that no piece covers", maximum=1),
    }
    return _table(
        {
            "bags": _count("bags to make", 1),
            "gap": _number("least distance between two pieces, mm", minimum=0),
            "cloths": _list(_table(cloth), "one for each material"),
        }
    )


def _band(description: str) -> Schema:
    return _table(
        {
            "low": _number("least", minimum=0),
            "expected": _number("most likely", minimum=0),
            "high": _number("most", minimum=0),
        },
        description,
    )


def _finding() -> Schema:
    return _table(
        {
            "code": _text("stable short name"),
            "severity": {
                "description": "an error stops the export",
                "enum": ["error", "warning", "note"],
            },
            "where": _text("a place on the panel or in a file, in words"),
            "message": _text("what is wrong"),
            "remedy": _text("what would mend it; may be empty"),
        }
    )

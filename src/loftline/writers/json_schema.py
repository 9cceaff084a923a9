"""The shape of the JSON document, as JSON Schema (draft 2020-12)."""

from __future__ import annotations

from loftline.values import KIND_WORDS
from loftline.writers.json_report_schema import report_schema
from loftline.writers.schema_words import (
    Schema,
    count,
    list_of,
    number,
    point,
    polyline,
    ring,
    table,
    text,
)


def document_schema() -> Schema:
    """The schema that :func:`loftline.writers.json_document.json_document` keeps to.

    All keys are fixed and required; only ``panel``, ``hoopings`` and ``report`` may gain keys
    in later versions, so a reader should pass over those it does not know there.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "loftline plan",
        **table(
            {
                "format": {"const": 1, "description": "version of this document"},
                "name": text("name of the bag"),
                "panel": _panel(),
                "keep_outs": list_of(_keep_out(), "zones that no needle may enter while quilting"),
                "lines": list_of(polyline(), "every line that must be sewn, run-off included"),
                "stitches": _stitches(),
                "hoopings": list_of(_hooping(), "placings of the panel in the hoop, in order"),
                "report": report_schema(),
                "findings": list_of(_finding(), "results of all checks"),
            },
            "mm to 0.01 in panel coordinates: x to the right, y up, zero at the lower left of "
            "the outline's bounding box, outer fabric up",
        ),
    }


def _panel() -> Schema:
    parts = {
        "description": 'outline of each part by its name; further pieces of a part are "name (2)"',
        "type": "object",
        "additionalProperties": ring("outline of the part"),
    }
    return table(
        {
            "outline": ring("the cut edge"),
            "holes": list_of(ring("edge of a hole"), "holes in the panel"),
            "parts": parts,
            "folds": list_of(
                list_of(point(), "start and end", minItems=2, maxItems=2), "fold lines"
            ),
            "darts": list_of(_dart(), "wedges that are cut or sewn out"),
            "fold_settings": list_of(_fold(), "what is set for each fold, in the order of folds"),
            "closed_size": {
                "description": "width and height of the closed bag at its cut edges, mm; null "
                "without folds",
                "oneOf": [{"type": "null"}, point("width and height, mm")],
            },
            "gussets": list_of(_gusset(), "parts that stand square between two others when closed"),
            "standing": {
                "description": "width, height and depth of the bag as it stands on its boxed "
                "corners, as sewn, mm; null without them",
                "oneOf": [
                    {"type": "null"},
                    list_of(number("mm"), "width, height, depth", minItems=3, maxItems=3),
                ],
            },
            "closed": _closed(),
            "run_off": number("mm that lines run off past the outline", minimum=0),
            "hardware": list_of(_hardware(), "all pieces, whenever they are fitted"),
        },
        "the flat panel",
    )


def _gusset() -> Schema:
    return table(
        {
            "name": text("name of the part"),
            "depth": number("mm between the two parts beside it when closed", minimum=0),
        }
    )


def _fold() -> Schema:
    return table(
        {
            "name": text("as in the project file"),
            "closed_to": {
                "description": "what may not cross it",
                "enum": ["nothing", "quilting", "travel", "both"],
            },
            "gap": number("width of the strip without foam, mm", minimum=0),
            "crease": {"description": "whether a line is sewn along it", "type": "boolean"},
            "bends": {"description": "how it bends when closed", "enum": ["flat", "square"]},
        }
    )


def _closed() -> Schema:
    part = table(
        {
            "part": text("name of the part"),
            "up": point("direction on the flat panel that points up in the closed bag"),
            "seen": list_of(
                list_of(ring("a ring"), "rings of one piece, outside first", minItems=1),
                "what is seen of it, as the viewer of that face sees it",
            ),
        }
    )
    face = table(
        {
            "size": point("width and height as sewn, mm"),
            "parts": list_of(part, "parts that are seen, innermost first"),
        }
    )
    return {
        "description": "the closed bag as sewn, the seam allowance taken up; empty without folds",
        "type": "object",
        "properties": {"front": face, "back": face},
        "additionalProperties": False,
    }


def _hardware() -> Schema:
    return table(
        {
            "name": text("as in the project file"),
            "kind": text("as in the project file"),
            "at": point("its centre, mm"),
            "outline": ring("the hard edge"),
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
    return table(
        {
            "name": text("as in the project file"),
            "wedge": ring("what goes, within the cut edge"),
            "tip": point("where the legs meet, mm"),
            "ends": list_of(point(), "where the legs start on the edge", minItems=2, maxItems=2),
            "legs": list_of(number("mm", minimum=0), "lengths of the legs", minItems=2, maxItems=2),
            "seam": number("mm of the seam that closes it", minimum=0),
        }
    )


def _keep_out() -> Schema:
    return table(
        {
            "name": text("as in the project file"),
            "outline": ring("the hard edge"),
            "clearance": number("mm from the hard edge to the needle", minimum=0),
            "sits": _sits("where it lies; a drawn zone counts as inside"),
            "mate_of": _mate_of(),
            "tolerance": number("mm added for the tolerance of placing", minimum=0),
            "draw_in": number("mm added for shrinking by quilting", minimum=0),
            "reach": number(
                "mm that are kept all round: the three together, or more for the presser foot",
                minimum=0,
            ),
        }
    )


def _stitches() -> Schema:
    run: Schema = {"type": "integer", "minimum": 0}
    kind: Schema = {"enum": list(KIND_WORDS)}
    return table(
        {
            "x": list_of({"type": "number"}, "mm, whole tenths"),
            "y": list_of({"type": "number"}, "mm, whole tenths"),
            "run": list_of(run, "number of the run, from 0, on through the hoopings"),
            "kind": list_of(
                kind,
                "kind of the stitch that ends at the point; a run's first point has that of "
                "its first stitch",
            ),
        },
        "needle points in sewing order over all hoopings; four lists of one length",
    )


def _hooping() -> Schema:
    return table(
        {
            "files": {
                "description": "stitch files written for it, by ending, relative to this file",
                "type": "object",
                "additionalProperties": {"type": "string"},
            },
            "origin": point("panel place of each file's zero, mm"),
            "first": count("index of its first needle point in stitches"),
            "last": count("index of its last needle point (inclusive); -1 if there is none", -1),
            "field": _or_null(
                point("width and height, mm"),
                "how far the needle can reach along x and y of the panel, mm; null without a hoop",
            ),
            "turn": {
                "description": "degrees by which the hoop lies turned on the panel, "
                "counter-clockwise: a stitch file is in the hoop's own directions, so that a point "
                "(x, y) of it lies at origin + (x cos - y sin, x sin + y cos) on the panel; where "
                "report.sewn_from is back it is mirrored: take -x for x",
                "enum": [0, 90, 180, 270],
            },
            "hoop": _or_null(
                point("width and height, mm"), "the hoop, along its own sides; null without one"
            ),
            "cell": _or_null(
                list_of({"type": "number"}, "x0, y0, x1, y1", minItems=4, maxItems=4),
                "the part of the panel that is sewn in it, mm; null for the whole panel",
            ),
            "marks": list_of(_mark(), "places it is laid by"),
            "misplacing": _or_null(
                number("mm", minimum=0),
                "how far off anything in it can lie where one sewn mark was met 0.5 mm off, mm; "
                "null where fewer than two marks are sewn before",
            ),
        }
    )


def _mark() -> Schema:
    return table(
        {
            "at": point("place on the panel, mm"),
            "kind": {
                "description": "a registration cross, where a sewn line ends, or a place on the "
                "full-size sheet",
                "enum": ["cross", "line end", "sheet"],
            },
            "sewn": {
                "description": "whether its stitches are there before this placing",
                "type": "boolean",
            },
        }
    )


def _or_null(schema: Schema, description: str) -> Schema:
    return {"description": description, "oneOf": [{"type": "null"}, schema]}


def _finding() -> Schema:
    return table(
        {
            "code": text("stable short name"),
            "severity": {
                "description": "an error stops the export",
                "enum": ["error", "warning", "note"],
            },
            "where": text("a place on the panel or in a file, in words"),
            "message": text("what is wrong"),
            "remedy": text("what would mend it; may be empty"),
        }
    )

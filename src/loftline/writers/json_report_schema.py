"""The shape of the JSON document's report, as JSON Schema."""

from __future__ import annotations

from loftline.project import ORDERS
from loftline.values import COST_WORDS, KIND_WORDS, TIME_WORDS
from loftline.writers.schema_words import Schema, band, count, list_of, number, point, table, text


def report_schema() -> Schema:
    """What ``report`` holds."""
    length = {
        "description": "mm sewn by kind; the first four always",
        "type": "object",
        "properties": {kind: number("mm", minimum=0) for kind in KIND_WORDS},
        "required": ["line", "travel", "double", "tie"],
        "additionalProperties": False,
    }
    return table(
        {
            "stitches": count("stitches; one less than needle points for each run"),
            "runs": count("runs"),
            "cuts": count("thread cuts between runs"),
            "turns": count("places where the panel is swung round"),
            "length": length,
            "needle_thread": band("millimetres for one bag, waste not counted in"),
            "bobbin_thread": band("millimetres for one bag, waste not counted in"),
            "minutes": number("minutes to quilt one bag", minimum=0),
            "cost": number("travel, double stitching and cuts, in mm of sewing", minimum=0),
            "least_cost": number("no order of sewing costs less; same unit", minimum=0),
            "optimal": {"description": "whether the two are proved equal", "type": "boolean"},
            "copies": count("bags to make", 1),
            "versions": {
                "description": "versions of what made the plan",
                "type": "object",
                "additionalProperties": {"type": "string"},
            },
            "needle_batch": band("millimetres for all bags, waste counted in"),
            "bobbin_batch": band("millimetres for all bags, waste counted in"),
            "waste": number("share added for ends and losses", minimum=0),
            "model": text("how the thread was reckoned"),
            "advice": list_of({"type": "string"}, "on needle, stitch and thread"),
            "cautions": list_of({"type": "string"}, "on safety, to be read first"),
            "cost_parts": {
                "description": "the cost by what it is for, in mm of sewing; turns come besides",
                "type": "object",
                "properties": {
                    part: number(words, minimum=0) for part, words in COST_WORDS.items()
                },
                "additionalProperties": False,
            },
            "order": table(
                {
                    "name": {"description": "quilting.order of the project", "enum": list(ORDERS)},
                    "least_cost": number("no plan in this order costs less", minimum=0),
                    "optimal": {
                        "description": "whether cost is proved equal to that",
                        "type": "boolean",
                    },
                    "free_cost": number(
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
            "seams": list_of(_seam(), "seams of the bag besides the quilting"),
            "threads": list_of(_thread(), "what quilting and seams take, thread by thread"),
            "bobbins": {
                "description": "where a full bobbin goes in while all bags are quilted; by the "
                "high figure of the thread",
                "oneOf": [{"type": "null"}, _bobbins()],
            },
            "times": list_of(_times(), "as the project is guided, then guided the other way"),
            "class_minutes": {
                "description": "until every student of the class has sewn her bag; null without "
                "a class",
                "type": ["null", "number"],
            },
            "work": list_of(_work(), "the order of work for one bag"),
            "sewn_from": {
                "description": "the side that lies up under the needle; places in this document "
                "are told with the outer fabric up either way",
                "enum": ["outer", "back"],
            },
            "draw_in": {
                "description": "how much the panel shrinks by quilting",
                "oneOf": [{"type": "null"}, _draw_in()],
            },
        },
        "all for one bag unless said",
        closed=False,
    )


def _cutting() -> Schema:
    cut: Schema = {
        "name": text("as in the project file"),
        "width": number("mm as cut", exclusiveMinimum=0),
        "height": number("mm as cut", exclusiveMinimum=0),
        "count": count("pieces for one bag", 1),
        "in_all": count("pieces for all bags", 1),
    }
    place: Schema = {
        "piece": count("index into pieces"),
        "x": number("mm across the cloth", minimum=0),
        "y": number("mm along the cloth, from the layout's start", minimum=0),
        "width": number("mm across, as it lies", exclusiveMinimum=0),
        "height": number("mm along, as it lies", exclusiveMinimum=0),
        "turned": {"description": "whether it is turned by 90 degrees", "type": "boolean"},
    }
    layout: Schema = {
        "bags": count("bags it holds the pieces of", 1),
        "times": count("how often it is laid, one after the other", 1),
        "length": number("mm of cloth", exclusiveMinimum=0),
        "places": list_of(table(place), "where the pieces lie"),
    }
    cloth: Schema = {
        "material": {"description": "layer", "enum": ["outer", "foam", "lining"]},
        "kind": text("what the cloth is; may be empty"),
        "width": number("usable width, mm", exclusiveMinimum=0),
        "one_way": {"description": "whether no piece is turned", "type": "boolean"},
        "pieces": list_of(table(cut), "pieces that fit on the cloth"),
        "too_large": list_of(table(cut), "pieces that do not, left out of all figures"),
        "layouts": list_of(table(layout), "layouts, in the order they are laid"),
        "length": number("mm of cloth for all bags", minimum=0),
        "to_buy": number("the same, rounded up to what shops cut", minimum=0),
        "least_length": number("no layout is shorter, mm", minimum=0),
        "waste": number("share of the cloth that no piece covers", maximum=1),
    }
    return table(
        {
            "bags": count("bags to make", 1),
            "gap": number("least distance between two pieces, mm", minimum=0),
            "cloths": list_of(table(cloth), "one for each material"),
        }
    )


def _seam() -> Schema:
    layer: Schema = {"enum": ["outer", "foam", "lining"]}
    return table(
        {
            "name": text("name"),
            "type": text("stitch type of ISO 4915"),
            "length": number("mm of one pass", minimum=0),
            "passes": count("how often it is sewn over", 1),
            "stitch_length": number("mm that one stitch advances", exclusiveMinimum=0),
            "width": number("mm, of a zigzag or an overedge stitch; else 0", minimum=0),
            "through": list_of(layer, "layers from the top one down"),
            "thread": {"description": "what it is sewn with", "enum": ["sewing", "quilting"]},
            "usual": {"description": "whether the shape brings it along", "type": "boolean"},
            "stitches": count("of all passes"),
            "pieces": count("sewn one by one in each pass", 1),
            "needle_thread": band("millimetres above, tails counted in"),
            "under_thread": band("millimetres of bobbin thread or loopers, tails counted in"),
        }
    )


def _thread() -> Schema:
    def maybe(kind: str, description: str) -> Schema:
        return {"description": description, "type": ["null", kind]}

    return table(
        {
            "name": {"enum": ["quilting thread", "bobbin thread", "sewing thread"]},
            "tex": number("grams of 1000 m", exclusiveMinimum=0),
            "one": band("millimetres for one bag, waste not counted in"),
            "batch": band("millimetres for all bags, waste counted in"),
            "metres": maybe("number", "on a spool or filled bobbin; null where it is not told"),
            "to_buy": maybe(
                "integer",
                "spools, or filled bobbins of bobbin thread sewn from the outer side; null where "
                "it is not known",
            ),
            "price": maybe("number", "of these, in the maker's own money; null likewise"),
        }
    )


def _bobbins() -> Schema:
    change = {
        "bag": count("of the batch, from 1", 1),
        "run": count("number of the run, from 0; the change comes before it if point is null"),
        "point": {
            "description": "index of the needle point of one bag at which to stop",
            "type": ["null", "integer"],
            "minimum": 0,
        },
        "on_travel": {"description": "whether that lies on a way", "type": "boolean"},
        "at": {
            "description": "where that is on the panel, mm",
            "oneOf": [{"type": "null"}, point("where the sewing stops, mm")],
        },
    }
    return table(
        {
            "metres": number("on a full bobbin", exclusiveMinimum=0),
            "told": {"description": "whether the project tells them", "type": "boolean"},
            "left": number("mm on the last one when all is sewn", minimum=0),
            "changes": list_of(table(change), "in sewing order"),
        }
    )


def _times() -> Schema:
    return table(
        {
            "guided": {"enum": ["machine", "hand"]},
            "parts": {
                "description": "minutes for one bag by what they go into",
                "type": "object",
                "properties": {
                    part: number(f"minutes: {words}", minimum=0)
                    for part, words in TIME_WORDS.items()
                },
                "additionalProperties": False,
            },
            "total": number("minutes for one bag", minimum=0),
        }
    )


def _work() -> Schema:
    return table({"title": text("what is done"), "sentences": list_of({"type": "string"}, "how")})


def _draw_in() -> Schema:
    return table(
        {
            "along": band("percent of the width"),
            "across": band("percent of the height"),
            "source": {"enum": ["swatch", "told", "spacing"]},
            "allowed": number("percent by which the panel is drawn larger for it", minimum=0),
            "size": {
                "description": "width and height of the outline after quilting, mm",
                "oneOf": [{"type": "null"}, point("width and height, mm")],
            },
        }
    )

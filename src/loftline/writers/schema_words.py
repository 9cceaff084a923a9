"""Words that the JSON Schema of the document is put together from."""

from __future__ import annotations

Schema = dict[str, object]


def table(properties: Schema, description: str = "", *, closed: bool = True) -> Schema:
    """A table whose keys are all required."""
    return {
        "description": description,
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": not closed,
    }


def list_of(items: Schema, description: str, **more: object) -> Schema:
    """A list of one kind of entry."""
    return {"description": description, "type": "array", "items": items, **more}


def text(description: str) -> Schema:
    """A text."""
    return {"description": description, "type": "string"}


def number(description: str, **more: object) -> Schema:
    """A number."""
    return {"description": description, "type": "number", **more}


def count(description: str, least: int = 0) -> Schema:
    """A whole number."""
    return {"description": description, "type": "integer", "minimum": least}


def point(description: str = "x and y, mm") -> Schema:
    """A place, or two sizes."""
    return list_of({"type": "number"}, description, minItems=2, maxItems=2)


def polyline() -> Schema:
    """A line."""
    return list_of(point(), "points in order; a closed line repeats its first", minItems=2)


def ring(description: str) -> Schema:
    """A closed line."""
    return list_of(point(), f"{description}; repeats its first point", minItems=4)


def band(description: str) -> Schema:
    """A figure with its uncertainty."""
    return table(
        {
            "low": number("least", minimum=0),
            "expected": number("most likely", minimum=0),
            "high": number("most", minimum=0),
        },
        description,
    )

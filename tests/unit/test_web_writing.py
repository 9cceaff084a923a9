"""Changes written into the text of a project file, with its comments and order."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given, settings, strategies as st

from loftline.web.edits import apply
from loftline.web.writing import written

TEXT = """\
# The cafe's pouch.
format = 1
name = "Spoke pouch"   # on the label too

[panel]
shape = "rectangle"
width = 250            # measured twice
height = 180

# the pair of magnets
[[hardware]]
name = "left"
at = [10, 20]          # from the corner

[[hardware]]
name = "right"         # the odd one
at = [30, 20]
mate = { sits = "inside" }

[[fills]]
pattern = "channel"
"""


def after(*edits: dict[str, Any]) -> str:
    return written(TEXT, apply(tomllib.loads(TEXT), list(edits)))


def test_nothing_changed_is_the_same_text() -> None:
    assert after() == TEXT


def test_a_value_changes_and_its_comment_stays() -> None:
    text = after({"op": "set", "path": ["panel", "width"], "value": 300})
    assert text == TEXT.replace("width = 250 ", "width = 300 ")


def test_a_place_in_a_list_keeps_the_comment_of_its_line() -> None:
    text = after({"op": "set", "path": ["hardware", 0, "at"], "value": [12.5, 20]})
    assert text == TEXT.replace("[10, 20]", "[12.5, 20]")


def test_a_removed_entry_takes_only_itself_along() -> None:
    text = after({"op": "remove", "path": ["hardware", 0]})
    assert "the odd one" in text
    assert "from the corner" not in text


def test_an_added_entry_stands_under_a_heading_of_its_own() -> None:
    text = after({"op": "add", "path": ["hardware"], "value": {"name": "third", "at": [1, 2]}})
    assert text.count("[[hardware]]") == 3


def test_the_first_entry_of_a_list_makes_the_list() -> None:
    text = after({"op": "add", "path": ["keep_outs"], "value": {"name": "label", "at": [1, 2]}})
    assert '[[keep_outs]]\nname = "label"' in text


def test_a_key_inside_braces_changes_there() -> None:
    text = after({"op": "set", "path": ["hardware", 1, "mate", "sits"], "value": "above"})
    assert text == TEXT.replace('"inside"', '"above"')


def test_the_last_entry_removed_takes_the_list_along() -> None:
    text = after(*[{"op": "remove", "path": ["hardware", 0]}] * 2)
    assert "hardware" not in tomllib.loads(text)


PATHS = st.sampled_from(
    [
        ["name"],
        ["panel", "width"],
        ["panel", "more"],
        ["hardware", 0, "name"],
        ["hardware", 1, "at"],
        ["fills", 0, "angle"],
        ["thread", "needle", "metres"],
        ["panel", "darts"],
    ]
)
VALUES = st.one_of(
    st.integers(-999, 999),
    st.floats(-999, 999, allow_nan=False),
    st.text(max_size=12),
    st.booleans(),
    st.lists(st.integers(0, 9), max_size=3),
    st.fixed_dictionaries({"a": st.integers(0, 9)}),
    st.lists(st.fixed_dictionaries({"name": st.text(max_size=4)}), max_size=3),
)
EDITS = st.lists(
    st.one_of(
        st.fixed_dictionaries({"op": st.just("set"), "path": PATHS, "value": VALUES}),
        st.fixed_dictionaries({"op": st.just("remove"), "path": PATHS}),
        st.fixed_dictionaries(
            {
                "op": st.just("add"),
                "path": st.sampled_from([["hardware"], ["keep_outs"]]),
                "value": st.fixed_dictionaries({"name": st.text(max_size=4)}),
            }
        ),
    ),
    max_size=5,
)


@settings(deadline=None, max_examples=120)
@given(EDITS)
def test_what_is_written_reads_back_as_what_was_meant(edits: list[dict[str, Any]]) -> None:
    new = apply(tomllib.loads(TEXT), edits)
    assert tomllib.loads(written(TEXT, new)) == new


def test_the_rest_of_the_file_stays_line_for_line() -> None:
    text = after({"op": "set", "path": ["panel", "height"], "value": 90})
    differing = [
        (one, two)
        for one, two in zip(TEXT.splitlines(), text.splitlines(), strict=True)
        if one != two
    ]
    assert differing == [("height = 180", "height = 90")]

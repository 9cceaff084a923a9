"""Lists of tables in the text of a project file: comments go where their entries go."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given, settings, strategies as st

from loftline.web.writing import written

TEXT = """\
name = "Workbench caddy"

[panel]
width = 300

# where the pockets turn up
[[panel.folds]]
name = "low"
from = [0, 120] # measured

# for the flap
# of leather
[[panel.folds]]
name = "high"

[[hardware]] # punched last
name = "eyelet"

# the ring
# hangs in the middle

[[hardware]]
name = "ring"

# from the remnant box
[[hardware]]
name = "label"
[hardware.mate]
sits = "inside"

# how it is sewn
[quilting]
order = "one way"
"""
HELD = tomllib.loads(TEXT)


def with_hardware(*entries: Any) -> str:  # noqa: ANN401 - any table of the file
    return written(TEXT, {**HELD, "hardware": list(entries)})


def test_a_comment_above_a_heading_moves_with_it() -> None:
    eyelet, ring, label = HELD["hardware"]
    assert '# from the remnant box\n[[hardware]]\nname = "label"\n[hardware.mate]' in with_hardware(
        label, eyelet, ring
    )


def test_a_comment_that_stands_apart_stays_where_it_is() -> None:
    eyelet, ring, label = HELD["hardware"]
    text = with_hardware(ring, eyelet, label)
    assert text.index("hangs in the middle") < text.index("from the remnant box")


def test_an_entry_that_goes_takes_its_comment_along() -> None:
    assert "remnant" not in with_hardware(*HELD["hardware"][:2])


def test_the_comment_of_what_comes_after_the_list_stays() -> None:
    assert "# how it is sewn\n[quilting]" in with_hardware(*HELD["hardware"][:2])


def test_the_comment_of_the_next_entry_stays_when_one_goes() -> None:
    assert "# from the remnant box\n[[hardware]]" in with_hardware(*HELD["hardware"][1:])


def test_an_entry_that_is_moved_and_changed_keeps_its_comment() -> None:
    eyelet, ring, label = HELD["hardware"]
    text = with_hardware({**label, "kind": "label"}, eyelet, ring)
    assert text.index("remnant") < text.index("punched last")


def test_lists_in_a_table_are_put_in_order_too() -> None:
    low, high = HELD["panel"]["folds"]
    text = written(TEXT, {**HELD, "panel": {**HELD["panel"], "folds": [high, low]}})
    assert text.index("of leather") < text.index("where the pockets turn up")


def test_what_looks_like_a_heading_in_a_text_is_none() -> None:
    text = 'name = """\n[[hardware]]\n"""\n[[hardware]]\nname = "a"\n[[hardware]]\nname = "b"\n'
    held = tomllib.loads(text)
    new = {**held, "hardware": held["hardware"][::-1]}
    assert tomllib.loads(written(text, new)) == new


@settings(deadline=None, max_examples=80)
@given(st.permutations(range(3)), st.sets(st.integers(0, 2)), st.integers(0, 1))
def test_what_is_written_reads_back_as_what_was_meant(
    order: list[int], left_out: set[int], more: int
) -> None:
    entries = [HELD["hardware"][i] for i in order if i not in left_out]
    entries += [{"name": "new"}] * more
    new = {**HELD, "hardware": entries}
    assert tomllib.loads(written(TEXT, new)) == new

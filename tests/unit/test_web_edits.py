"""Changes to the tables of a project, as the page asks for them."""

from __future__ import annotations

import math
from typing import Any

import pytest

from loftline.web.edits import MOST_EDITS, BadEdit, apply

DATA: dict[str, Any] = {
    "name": "Spoke pouch",
    "panel": {"width": 250, "points": [[0, 0], [1, 0], [0, 1]]},
    "hardware": [{"name": "left"}, {"name": "right"}],
}


def edited(op: str, path: list[object], value: object = None) -> Any:  # noqa: ANN401 - any table of the file
    return apply(DATA, [{"op": op, "path": path, "value": value}])


def test_a_key_is_set() -> None:
    assert edited("set", ["panel", "width"], "9 in")["panel"]["width"] == "9 in"


def test_a_table_that_was_not_there_is_made() -> None:
    assert edited("set", ["thread", "waste"], 0.2)["thread"] == {"waste": 0.2}


def test_a_place_in_a_list_is_set() -> None:
    assert edited("set", ["hardware", 1, "at"], [5, 6])["hardware"][1] == {
        "name": "right",
        "at": [5, 6],
    }


def test_an_entry_is_removed() -> None:
    assert edited("remove", ["hardware", 0])["hardware"] == [{"name": "right"}]


def test_an_entry_is_added_at_the_end() -> None:
    assert edited("add", ["keep_outs"], {"name": "label"})["keep_outs"] == [{"name": "label"}]


def test_an_entry_is_put_before_another() -> None:
    assert edited("insert", ["panel", "points", 1], [2, 0])["panel"]["points"][1:3] == [
        [2, 0],
        [1, 0],
    ]


@pytest.mark.parametrize(("at", "to", "order"), [(0, 2, "bca"), (2, 0, "cab"), (1, 1, "abc")])
def test_an_entry_takes_another_place_in_its_list(at: int, to: int, order: str) -> None:
    moved = apply(
        {"hardware": list("abc")}, [{"op": "move", "path": ["hardware", at], "value": to}]
    )
    assert moved["hardware"] == list(order)


def test_a_table_that_says_something_without_keys_stays() -> None:
    data = {"cutting": {"gap": 5}}
    assert apply(data, [{"op": "remove", "path": ["cutting", "gap"]}]) == {"cutting": {}}


def test_an_other_half_without_differences_is_still_one() -> None:
    data = {"hardware": [{"mate": {"sits": "above"}}]}
    left = apply(data, [{"op": "remove", "path": ["hardware", 0, "mate", "sits"]}])
    assert left["hardware"] == [{"mate": True}]


def test_a_table_that_is_left_empty_goes() -> None:
    data = apply({"thread": {"waste": 0.2}}, [{"op": "remove", "path": ["thread", "waste"]}])
    assert data == {}


def test_what_is_changed_is_left_as_it_was() -> None:
    edited("set", ["hardware", 0, "name"], "other")
    assert DATA["hardware"][0] == {"name": "left"}


def test_what_is_not_changed_is_shared() -> None:
    assert edited("set", ["name"], "x")["panel"] is DATA["panel"]


@pytest.mark.parametrize(
    "edits",
    [
        None,
        {},
        [[]],
        [{"op": "set", "path": [], "value": 1}],
        [{"op": "set", "path": ["a"] * 7, "value": 1}],
        [{"op": "set", "path": "name", "value": 1}],
        [{"op": "set", "path": [True], "value": 1}],
        [{"op": "set", "path": [-1], "value": 1}],
        [{"op": "set", "path": ["x" * 61], "value": 1}],
        [{"op": "move", "path": ["name"], "value": 1}],
        [{"op": "set", "path": ["name"], "value": None}],
        [{"op": "set", "path": ["name"], "value": math.inf}],
        [{"op": "set", "path": ["name"], "value": 2**70}],
        [{"op": "set", "path": ["name"], "value": "x" * 3000}],
        [{"op": "set", "path": ["name"], "value": [[[[[1]]]]]}],
        [{"op": "set", "path": ["hardware", 7, "name"], "value": "x"}],
        [{"op": "set", "path": ["name", "deeper"], "value": "x"}],
        [{"op": "add", "path": ["name"], "value": "x"}],
        [{"op": "remove", "path": ["name"]}] * (MOST_EDITS + 1),
        [{"op": "move", "path": ["hardware", 0], "value": 2}],
        [{"op": "move", "path": ["hardware", 0], "value": True}],
        [{"op": "insert", "path": ["hardware", 2], "value": {}}],
        [{"op": "insert", "path": ["panel"], "value": {}}],
        [{"op": "units", "path": ["units"], "value": "ell"}],
    ],
)
def test_a_change_that_makes_no_sense_is_refused(edits: object) -> None:
    with pytest.raises(BadEdit):
        apply(DATA, edits)

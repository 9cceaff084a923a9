"""The edge or fold that the order from an edge begins at."""

from __future__ import annotations

from typing import Any

import pytest

from loftline.errors import ProjectError
from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.values import ClosedEdge

POUCH = {"shape": "folded pouch", "width": 250, "body": 150, "flap": 110}


def edge_of(panel: dict[str, Any], name: str | None) -> ClosedEdge | None:
    quilting = {} if name is None else {"from_edge": name}
    document = {"format": 1, "panel": panel, "fills": [{"pattern": "channel"}]}
    return make_panel(parse_project({**document, "quilting": quilting})).closed_edge


def test_an_edge_leads_inward_from_its_middle() -> None:
    panel = {"shape": "rectangle", "width": 100, "height": 60}
    assert edge_of(panel, "top") == ClosedEdge(name="top", at=(50, 60), inward=(0, -1))
    assert edge_of(panel, "left") == ClosedEdge(name="left", at=(0, 30), inward=(1, 0))


def test_from_a_fold_there_is_something_on_both_sides() -> None:
    found = edge_of(POUCH, "lower fold")
    assert found is not None
    assert (found.at, found.both_sides) == ((125, 150), True)
    assert [abs(part) for part in found.inward] == [0, 1]


def test_none_is_named_none_is_found() -> None:
    assert edge_of(POUCH, None) is None


def test_a_name_that_nothing_has_is_refused_with_those_there_are() -> None:
    with pytest.raises(ProjectError) as caught:
        edge_of(POUCH, "lower fald")
    (fault,) = caught.value.faults
    assert fault.where == "quilting.from_edge"
    assert 'no edge is called "lower fald"' in fault.message
    assert 'did you mean "lower fold"?' in fault.message

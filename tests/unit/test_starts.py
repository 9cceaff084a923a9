"""Designs that start at an edge, a fold, or a place measured in from an edge."""

from __future__ import annotations

from typing import Any

import jsonschema
import numpy as np
import pytest

from loftline.errors import ProjectError
from loftline.fills import make_fields, make_lines
from loftline.panel import make_panel
from loftline.project import json_schema, parse_project
from loftline.project.sizes import sized
from loftline.values import Floats, Lines, Panel, Point

POUCH: dict[str, Any] = {"shape": "folded pouch", "width": 160, "body": 110, "flap": 80}
ROUNDED = {**POUCH, "corner_radius": 40}
BIAS = [[0, 0], [120, 0], [120, 60], [60, 120], [0, 120]]
TOP = 300.0
SCHEMA = json_schema()


def document(panel: dict[str, Any], **fill: Any) -> dict[str, Any]:  # noqa: ANN401 - keys
    return {"format": 1, "name": "Spoke pouch", "panel": panel, "fills": [fill]}


def drawn(panel: dict[str, Any], **fill: Any) -> tuple[Panel, Lines]:  # noqa: ANN401 - keys
    project = parse_project(document(panel, **fill))
    made = make_panel(project)
    return made, make_lines(project, made, make_fields(project, made))


def start_of(panel: dict[str, Any], start: object, **fill: Any) -> Point | None:  # noqa: ANN401
    keys = {"pattern": "channel", "start_at": start} | fill
    return make_panel(parse_project(document(panel, **keys))).starts[0]


def offsets(panel: dict[str, Any], axis: int, **fill: Any) -> Floats:  # noqa: ANN401 - keys
    """Where level lines lie (axis 1), or upright ones (axis 0)."""
    _, lines = drawn(panel, pattern="channel", **fill)
    return np.unique(lines.points[lines.starts[:-1], axis].round(9))


@pytest.mark.parametrize("part", ["all", "front", "flap"])
def test_lines_along_an_edge_lie_whole_spacings_from_it(part: str) -> None:
    found = offsets(POUCH, 1, part=part, angle=0, spacing=7, start_at="flap edge")
    assert len(found) > 5
    assert np.abs((TOP - found) / 7 - ((TOP - found) / 7).round()).max() < 1e-9


def test_a_line_lies_at_the_distance_from_the_edge() -> None:
    start = {"from": "flap edge", "distance": 18}
    found = offsets(POUCH, 1, part="flap", angle=0, spacing=12, start_at=start)
    assert TOP - 18 in found
    assert TOP - 6 in found


def test_the_centre_starts_them_elsewhere() -> None:
    """So that the tests above can fail."""
    assert TOP - 18 not in offsets(POUCH, 1, part="flap", angle=0, spacing=12)


@pytest.mark.parametrize(
    ("start", "expected"),
    [
        ("flap edge", (80, 300)),
        ("upper fold", (80, 220)),
        ({"from": "flap edge", "distance": 20}, (80, 280)),
        ({"from": ["left", "flap edge"], "distance": [30, 20]}, (30, 280)),
        ([5, 6], (5, 6)),
        ("centre", None),
        (" flap  edge ", (80, 300)),
    ],
)
def test_a_start_is_a_place_of_the_panel(start: object, expected: Point | None) -> None:
    assert start_of(POUCH, start) == expected
    jsonschema.validate(document(POUCH, pattern="channel", start_at=start), SCHEMA)


def test_a_rounded_edge_is_measured_at_its_middle() -> None:
    assert start_of(ROUNDED, {"from": "flap edge", "distance": 20}) == (80, 280)
    assert start_of({"shape": "ellipse", "width": 100, "height": 80}, "top") == (50, 80)


def test_lines_along_a_slanting_edge_lie_whole_spacings_from_it() -> None:
    panel = {"shape": "polygon", "points": BIAS}
    _, lines = drawn(panel, pattern="channel", angle=135, spacing=9, start_at="edge 3")
    away = (180 - lines.points[lines.starts[:-1]].sum(axis=1)) / np.sqrt(2)
    assert len(away) > 10
    assert np.abs(away / 9 - (away / 9).round()).max() < 1e-9


@pytest.mark.parametrize("setting", ["square", "on point", "triangle"])
def test_a_grid_has_a_crossing_in_the_middle_of_the_fold(setting: str) -> None:
    _, lines = drawn(POUCH, pattern="grid", setting=setting, spacing=20, start_at="upper fold")
    chords = zip(lines.starts[:-1].tolist(), lines.starts[1:].tolist(), strict=True)
    spot = np.array([80.0, 220.0])
    through = set()
    for number, (first, end) in enumerate(chords):
        a, b = lines.points[first], lines.points[end - 1]
        cross = (b - a)[0] * (spot - a)[1] - (b - a)[1] * (spot - a)[0]
        if abs(cross) / np.hypot(*(b - a)) < 1e-9 and (a - spot) @ (b - spot) <= 1e-9:
            through.add(int(lines.family[number]))
    assert len(through) >= 2


@pytest.mark.parametrize("pattern", ["spiral", "rays"])
def test_what_goes_out_from_a_place_takes_one_in_from_an_edge(pattern: str) -> None:
    start = {"from": "flap edge", "distance": 30}
    _, by_edge = drawn(POUCH, pattern=pattern, spacing=11, start_at=start)
    _, by_place = drawn(POUCH, pattern=pattern, spacing=11, start_at=[80, 270])
    assert np.array_equal(by_edge.points, by_place.points)


def test_a_matched_design_starts_at_the_edge_too() -> None:
    keys = {"pattern": "channel", "angle": 20, "spacing": 11, "match": "closed"}
    _, by_edge = drawn(POUCH, **keys, start_at="flap edge")
    _, by_place = drawn(POUCH, **keys, start_at=[80, 300])
    assert np.array_equal(by_edge.points, by_place.points)


def test_a_start_at_an_edge_stays_there_in_another_size() -> None:
    fill = {"pattern": "channel", "start_at": {"from": "flap edge", "distance": 20}}
    sizes = [{"name": "small"}, {"name": "large", "width": 220, "flap": 100}]
    found = parse_project({**document(POUCH, **fill), "sizes": sizes})
    starts = [make_panel(project).starts for _, project in sized(found)]
    assert starts == [((80, 280),), ((110, 300),)]


def faults_of(panel: dict[str, Any], **fill: Any) -> dict[str, str]:  # noqa: ANN401 - keys
    with pytest.raises(ProjectError) as caught:
        drawn(panel, **fill)
    return {fault.where: fault.message for fault in caught.value.faults}


def test_an_edge_that_does_not_exist_is_refused_with_those_there_are() -> None:
    found = faults_of(POUCH, pattern="grid", start_at="flap edgo")
    assert list(found) == ["fills[0].start_at"]
    assert 'did you mean "flap edge"?' in found["fills[0].start_at"]
    assert '"upper fold"' in found["fills[0].start_at"]


@pytest.mark.parametrize(
    ("start", "where", "says"),
    [
        ("center", "start_at", 'did you mean "centre"?'),
        ({"from": "flap edge"}, "start_at.distance", "is missing"),
        ({"from": "flap edge", "distance": -4}, "start_at.distance", "at least 0"),
        ({"from": "upper fold", "distance": 4}, "start_at.from", 'no edge is called "upper fold"'),
        (12, "start_at", "[x, y]"),
    ],
)
def test_a_start_that_is_no_place_is_refused(start: object, where: str, says: str) -> None:
    found = faults_of(POUCH, pattern="channel", start_at=start)
    assert list(found) == [f"fills[0].{where}"]
    assert says in found[f"fills[0].{where}"]


@pytest.mark.parametrize("pattern", ["echo", "meander"])
def test_designs_without_a_start_refuse_an_edge(pattern: str) -> None:
    found = faults_of(POUCH, pattern=pattern, start_at="flap edge")
    assert "does not belong to the pattern" in found["fills[0].start_at"]


def test_even_ends_leave_no_choice_of_a_start() -> None:
    found = faults_of(POUCH, pattern="channel", even_ends=True, start_at="flap edge")
    assert "start at the centre" in found["fills[0].start_at"]

"""What a quilting design refuses, in words."""

from __future__ import annotations

from typing import Any

import jsonschema
import pytest

from loftline.errors import ProjectError
from loftline.project import json_schema, parse_project

SCHEMA = json_schema()


def document(**fill: Any) -> dict[str, Any]:  # noqa: ANN401 - keys
    panel = {"shape": "rectangle", "width": 300, "height": 200}
    return {"format": 1, "panel": panel, "fills": [fill]}


def told(fill: dict[str, Any]) -> dict[str, str]:
    """Faults by their key."""
    with pytest.raises(ProjectError) as caught:
        parse_project(document(**fill))
    return {fault.where.removeprefix("fills[0]."): fault.message for fault in caught.value.faults}


REFUSED: list[tuple[dict[str, Any], str, str]] = [
    ({"pattern": "meander", "angle": 3}, "angle", "a meander has no direction"),
    ({"pattern": "echo", "angle": 3}, "angle", "an echo has no direction"),
    ({"pattern": "rays", "angle": 3}, "angle", "rays have no direction"),
    ({"pattern": "meander", "paired": 3}, "paired", 'only to "channel"'),
    ({"pattern": "grid", "uneven": 0.5}, "uneven", 'only to "channel"'),
    ({"pattern": "grid", "even_ends": True}, "even_ends", 'only to "channel"'),
    ({"pattern": "channel", "setting": "square"}, "setting", 'only to "grid"'),
    ({"pattern": "meander", "start_at": "centre"}, "start_at", '"channel", "grid"'),
    ({"pattern": "grid", "setting": "diamonds"}, "setting", 'did you mean "diamond"?'),
    ({"pattern": "grid", "setting": "square", "angle": 45}, "setting", "not both"),
    ({"pattern": "channel", "wave_height": 5}, "wave_length", "is missing"),
    ({"pattern": "channel", "wave_length": 50}, "wave_height", "is missing"),
    ({"pattern": "channel", "uneven": 2}, "uneven", "at most 1"),
    ({"pattern": "channel", "start_at": [1]}, "start_at", "[x, y]"),
    ({"pattern": "channel", "even_ends": 1}, "even_ends", "true or false"),
]
CLASHING: list[tuple[dict[str, Any], str, str]] = [
    ({"wave_height": 15, "wave_length": 20}, "wave_height", "at most 0.7 of the wave_length, 14"),
    ({"paired": 7}, "paired", "at most half of the spacing, 6"),
    ({"paired": "8 mm", "spacing": 15}, "paired", "at most half of the spacing, 7.5"),
    ({"uneven": 0.5, "even_ends": True}, "uneven", "take out uneven or even_ends"),
    ({"start_at": [3, 4], "even_ends": True}, "start_at", "start at the centre"),
    ({"start_at": "top", "even_ends": True}, "start_at", "start at the centre"),
]
SOUND: list[dict[str, Any]] = [
    {"pattern": "channel", "wave_height": 14, "wave_length": 20},
    {"pattern": "channel", "paired": 6, "uneven": 1},
    {"pattern": "channel", "even_ends": True, "uneven": 0, "start_at": "centre"},
    {"pattern": "channel", "start_at": [-3, "1 in"], "angle": 20},
    {"pattern": "grid", "start_at": [3, 4], "setting": "hanging diamond"},
    {"pattern": "grid", "start_at": "centre", "angle": [10, 70]},
]


@pytest.mark.parametrize(("fill", "where", "says"), REFUSED)
def test_a_key_out_of_place_is_refused(fill: dict[str, Any], where: str, says: str) -> None:
    assert says in told(fill)[where]


@pytest.mark.parametrize(("fill", "where", "says"), CLASHING)
def test_keys_that_clash_are_refused(fill: dict[str, Any], where: str, says: str) -> None:
    found = told({"pattern": "channel"} | fill)
    assert list(found) == [where]
    assert says in found[where]


def test_all_faults_of_a_design_are_told_at_once() -> None:
    found = told({"pattern": "channel", "wave_height": 5, "paired": 9, "setting": "square"})
    assert set(found) == {"wave_length", "paired", "setting"}


@pytest.mark.parametrize("fill", SOUND)
def test_sound_designs_are_read(fill: dict[str, Any]) -> None:
    parse_project(document(**fill))
    jsonschema.validate(document(**fill), SCHEMA)


@pytest.mark.parametrize("fill", [fill for fill, _, _ in REFUSED])
def test_the_schema_refuses_a_key_out_of_place(fill: dict[str, Any]) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(document(**fill), SCHEMA)


def test_lengths_follow_the_unit_of_the_file() -> None:
    data = document(pattern="channel", spacing=1, paired=0.25, wave_height=0.5, wave_length=2)
    fill = parse_project(data | {"units": "in", "panel": data["panel"] | {"width": 9, "height": 8}})
    made = fill.fills[0]
    assert (made.paired, made.wave_height, made.wave_length) == pytest.approx((6.35, 12.7, 50.8))


def test_only_straight_lines_are_straight() -> None:
    straight = {
        "channel": parse_project(document(pattern="channel", paired=3)),
        "grid": parse_project(document(pattern="grid", setting="triangle")),
        "meander": parse_project(document(pattern="meander")),
        "wave": parse_project(document(pattern="channel", wave_height=3, wave_length=30)),
    }
    found = {name for name, project in straight.items() if project.fills[0].straight}
    assert found == {"channel", "grid"}


def test_work_is_capped_for_what_pairs_and_waves_add() -> None:
    # 5 x 5 m at 3.2 mm and 3 mm stitches: 2.6 million stitches, under the cap of 3 million
    panel = {"shape": "rectangle", "width": 5000, "height": 5000, "overhang": 0}
    plain = {"pattern": "channel", "spacing": 3.2}
    parse_project({"format": 1, "panel": panel, "fills": [plain]})
    for more in ({"paired": 1}, {"wave_height": 5, "wave_length": 20}):
        with pytest.raises(ProjectError) as caught:
            parse_project({"format": 1, "panel": panel, "fills": [plain | more]})
        assert [fault.where for fault in caught.value.faults] == ["fills[0].spacing"]

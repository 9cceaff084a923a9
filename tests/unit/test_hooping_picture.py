"""The picture of the hoopings, and their rows on the screen."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from functools import cache

from loftline.cli.cost_figures import undivided_words
from loftline.cli.figures import report_rows
from loftline.plan import price_undivided
from loftline.values import Plan
from loftline.writers import write_files
from loftline.writers.svg.hoopings import draw_hoopings
from support_hoopings import hooped

SVG = "{http://www.w3.org/2000/svg}"
PANEL = {"shape": "rectangle", "width": 200, "height": 150, "seam_allowance": 8}
FILL = {"pattern": "channel", "angle": 0, "spacing": 12}


@cache
def two() -> Plan:
    return hooped(PANEL, FILL, {"hoop": [130, 180]}, copies=12)


def groups(text: str) -> dict[str, ET.Element]:
    root = ET.fromstring(text)  # noqa: S314 - our own text
    return {group.get("id", ""): group for group in root.iter(f"{SVG}g")}


def test_every_hooping_has_its_field() -> None:
    found = groups(draw_hoopings(two()))
    assert {"field-1", "field-2"} <= found.keys()
    assert "field-3" not in found


def test_every_true_point_has_a_ring() -> None:
    found = groups(draw_hoopings(two()))
    for number, hooping in enumerate(two().hoopings, 1):
        rings = list(found[f"field-{number}"].iter(f"{SVG}circle"))
        assert len(rings) == hooping.true_points


def test_a_field_is_drawn_where_it_lies() -> None:
    place = two().hoopings[1].place
    assert place is not None
    rim = next(groups(draw_hoopings(two()))["field-2"].iter(f"{SVG}path")).get("d", "")
    first = [float(number) for number in rim.lstrip("M").partition("L")[0].split()]
    assert abs(first[0] - place[0]) < 0.01
    assert abs(first[1] - place[1]) < 0.01


def test_several_hoopings_have_a_picture_of_their_own() -> None:
    assert "spoke-pouch-hoopings.svg" in write_files(two(), ("svg",))
    assert "spoke-pouch-hoopings.svg" not in write_files(hooped(PANEL, FILL, {}), ("svg",))


def test_the_report_leads_with_the_hoopings_of_a_bag_and_of_the_batch() -> None:
    rows = report_rows(two().report, "mm")
    assert rows[0] == ("Hoopings", "2 (none can do with fewer)")
    assert rows[1] == ("Hoopings, 12 bags", "24")


def test_without_a_hoop_the_report_tells_of_none() -> None:
    names = [name for name, _ in report_rows(hooped(PANEL, FILL, {}).report, "mm")]
    assert not [name for name in names if name.startswith("Hoopings")]


def test_what_dividing_adds_is_told() -> None:
    undivided = price_undivided(two())
    assert undivided is not None
    words = undivided_words(2, two().report, undivided, "mm")
    assert words.startswith("In one hooping the same lines would cost as much as sewing ")
    assert "among 2 hoopings adds " in words

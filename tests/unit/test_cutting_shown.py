"""The cutting list on the screen, in the document and in the picture."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import jsonschema
import pytest

from loftline.cli.cutting_figures import cutting_rows, cutting_words
from loftline.estimates import cutting_list
from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.units import Unit
from loftline.values import CuttingList
from loftline.writers import write_files
from loftline.writers.json_schema import document_schema
from loftline.writers.svg.cutting import draw_cutting
from support_pictures import by_id, of_class, read_picture
from support_plans import tiny_plan


def listed(*, copies: int = 12, units: Unit = "mm", **cutting: object) -> CuttingList:
    pocket = {"name": "tool <&> pocket", "width": "180 mm", "height": "120 mm", "count": 2}
    project = parse_project(
        {
            "units": units,
            "copies": copies,
            "panel": {"shape": "rectangle", "width": "250 mm", "height": "410 mm"},
            "fills": [{"pattern": "channel"}],
            "cutting": {"pockets": [pocket], **cutting},
        }
    )
    return cutting_list(project, make_panel(project))


def test_the_table_names_cloth_length_and_pieces() -> None:
    rows = dict(cutting_rows(listed(), "mm"))
    cloth = rows["Outer fabric (cotton canvas)"]
    assert cloth.startswith("buy 1.9 m of cloth 1100 mm wide, for 12 bags: the layout takes 18")
    assert rows["  panel, foam"] == "300 \u00d7 460 mm, 1 a bag, 12 in all"
    assert rows["  tool <&> pocket"] == "180 \u00d7 120 mm, 2 a bag, 24 in all"


def test_the_table_is_in_yards_for_a_maker_in_inches() -> None:
    rows = dict(cutting_rows(listed(units="in", copies=1), "in"))
    assert rows["Lining"].startswith("buy 3/8 yd of cloth 43.31 in wide, for 1 bag: ")
    assert rows["  panel, lining"] == "9.843 \u00d7 16.142 in, 1 a bag"
    assert "0.39 in apart" in cutting_words(listed(units="in"), "in")


def test_what_does_not_fit_is_said_beside_the_piece() -> None:
    rows = dict(cutting_rows(listed(cloth_width={"lining": 200, "foam": 200}), "mm"))
    assert rows["Foam"] == "nothing fits on cloth 200 mm wide"
    assert rows["  panel, lining"].endswith("wider than the cloth, left out")


def test_the_document_holds_the_cutting_list_and_keeps_to_its_schema() -> None:
    plan = tiny_plan()
    cuts = listed(copies=100, cloth_width={"foam": 200})
    plan = replace(plan, report=replace(plan.report, cutting=cuts))
    document = json.loads(write_files(plan, ("json",))["key-fob.json"])
    jsonschema.validate(document, document_schema())
    outer, foam, lining = document["report"]["cutting"]["cloths"]
    assert (outer["material"], outer["width"], outer["to_buy"] % 100) == ("outer", 1100, 0)
    assert [piece["name"] for piece in foam["too_large"]] == ["panel, foam"]
    laid = sum(layout["times"] * len(layout["places"]) for layout in lining["layouts"])
    assert laid == 300


def test_without_a_cutting_list_the_document_says_null() -> None:
    document = json.loads(write_files(tiny_plan(), ("json",))["key-fob.json"])
    assert document["report"]["cutting"] is None


def test_the_picture_comes_with_the_picture_of_the_plan_and_only_then() -> None:
    plan = tiny_plan()
    assert list(write_files(plan, ("svg", "csv"))) == ["key-fob.svg", "key-fob.csv"]
    plan = replace(plan, report=replace(plan.report, cutting=listed()))
    names = ["key-fob.svg", "key-fob-cutting.svg", "key-fob.csv"]
    assert list(write_files(plan, ("svg", "csv"))) == names
    assert list(write_files(plan, ("csv",))) == ["key-fob.csv"]


def test_the_picture_draws_every_piece_where_it_lies() -> None:
    cuts = listed()
    picture = read_picture(draw_cutting("Key fob", cuts, "mm"))
    for cloth in cuts.cloths:
        column = by_id(picture, f"cloth-{cloth.material}")
        (layout,) = cloth.layouts
        (strip,) = of_class(column, "layout")
        left, top = (float(strip[0].get(key) or "") for key in ("x", "y"))
        drawn = [
            tuple(float(piece[0].get(key) or "") for key in ("x", "y", "width", "height"))
            for piece in of_class(column, "piece")
        ]
        for found, place in zip(drawn, layout.places, strict=True):
            expected = (left + place.x, top + place.y, place.width, place.height)
            assert found == pytest.approx(expected, abs=0.011)


def test_the_picture_is_a_tenth_of_full_size() -> None:
    picture = read_picture(draw_cutting("Key fob", listed(), "mm"))
    width = float((picture.get("width") or "").removesuffix("mm"))
    assert float((picture.get("viewBox") or "").split()[2]) == pytest.approx(10 * width, abs=0.1)


def test_the_picture_says_how_much_to_buy_in_the_maker_s_units() -> None:
    text = draw_cutting("Key fob", listed(units="in", copies=1), "in")
    assert "Buy 3/8 yd of cloth 43.31 in wide." in re.sub(r"</text><text[^>]*>", " ", text)
    assert "20 in of cloth" in text
    assert "mm of cloth" not in text


def test_the_picture_repeats_no_layout_but_says_how_often() -> None:
    cuts = listed(copies=500)
    text = draw_cutting("Key fob", cuts, "mm")
    column = by_id(read_picture(text), "cloth-outer")
    assert len(of_class(column, "layout")) == len(cuts.cloths[0].layouts)
    assert f"laid {cuts.cloths[0].layouts[0].times} times" in text


def test_arrows_show_the_direction_of_cloth_that_has_one() -> None:
    picture = read_picture(draw_cutting("Key fob", listed(one_way=["outer"]), "mm"))
    assert len(of_class(by_id(picture, "cloth-outer"), "up")) == 12
    assert of_class(by_id(picture, "cloth-lining"), "up") == []


def test_a_picture_where_nothing_fits_is_drawn_too() -> None:
    width = {"outer": 100, "foam": 100, "lining": 100}
    text = draw_cutting("Key fob", listed(cloth_width=width), "mm")
    assert "Nothing fits on cloth 100 mm wide." in text


def test_the_same_list_gives_the_same_picture() -> None:
    assert draw_cutting("a", listed(), "mm") == draw_cutting("a", listed(), "mm")

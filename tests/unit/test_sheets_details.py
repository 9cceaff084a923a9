"""Small things on full-size sheets: prong slits, headings with what follows, long names."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.trade.hardware import KINDS
from loftline.values import Plan
from loftline.writers.sheets.book import TITLES, make_book
from loftline.writers.sheets.drawing import SLIT, draw_panel
from loftline.writers.sheets.face import Letters
from loftline.writers.sheets.ink import TEXT, Sheet
from support_sheets import curves_of, words_of


@cache
def plan_of(kind: str, name: str = "Spoke pouch") -> Plan:
    piece: dict[str, Any] = {"name": "closure", "kind": kind, "at": [60, 40]}
    return make_plan(
        parse_project(
            {
                "name": name,
                "panel": {"shape": "rectangle", "width": 120, "height": 90},
                "hardware": [piece],
                "fills": [{"pattern": "channel", "spacing": 20}],
            }
        )
    )


def sheets(kind: str, *kinds: str, name: str = "Spoke pouch") -> tuple[Sheet, ...]:
    return make_book(
        plan_of(kind, name), Letters(), paper="a4", kinds=kinds or tuple(TITLES)
    ).sheets


def slits_on(kind: str) -> list[np.ndarray]:
    drawn = draw_panel(plan_of(kind).panel, "mm").curves
    return [curve.points for curve in drawn if curve.ink == SLIT and len(curve.starts) == 3]


def test_a_snaps_prong_slits_stand_upright_at_both_sides_of_its_centre() -> None:
    # common practice, no source: 10 mm apart and 4 mm long at 18 mm
    (points,) = slits_on("magnetic snap")
    # 0.01: the polygon of a disc is drawn round it
    expected = np.array([[55, 38], [55, 42], [65, 38], [65, 42]])
    assert points == pytest.approx(expected, abs=0.01)


def test_a_smaller_snap_has_smaller_slits() -> None:
    (points,) = slits_on("14 mm magnetic snap")
    assert np.ptp(points[:, 0]) == pytest.approx(10 * 14 / 18, abs=0.01)


@pytest.mark.parametrize("kind", ["sew-in magnet", "eyelet", "D-ring"])
def test_what_has_no_prongs_has_no_slits(kind: str) -> None:
    assert slits_on(kind) == []


def test_every_kind_of_snap_has_slits() -> None:
    assert all((row.prongs is not None) == ("magnetic snap" in row.name) for row in KINDS)


def test_the_hardware_sheet_draws_the_slits_and_says_how_they_lie() -> None:
    (sheet,) = sheets("magnetic snap", "hardware")
    assert [curve for curve in curves_of(sheet) if curve.ink == SLIT]
    says = " ".join(words.text for words in words_of(sheet))
    assert "10 mm apart and 4 mm long" in says


@pytest.mark.parametrize("kind", ["magnetic snap", "sew-in magnet"])
def test_the_key_stands_on_one_sheet_with_its_heading(kind: str) -> None:
    (sheet,) = (s for s in sheets(kind) if "Key" in [words.text for words in words_of(s)])
    assert "centre line" in [words.text for words in words_of(sheet)]


def test_a_long_name_is_whole_on_the_overview() -> None:
    name = "Workbench caddy, the long one over the whole bench of the bicycle repair shed"
    first = sheets("eyelet", "overview", name=name)[0]
    large = [words.text for words in words_of(first) if words.size > 1.6 * TEXT]
    assert " ".join(large) == name

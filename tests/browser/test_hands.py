"""What hands do on the page: a click too many, a piece without other half, a panel turned over."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from loftline.cli.commands import demo_text
from support_page import Open, Serve, ready, shown


def does(page: Page, act: Callable[[], object]) -> None:
    """Do something, and wait for the plan that follows."""
    before = shown(page)
    act()
    ready(page, before)


def entries(page: Page, table: str) -> int:
    return page.locator(f'[data-entry^="{table} "]').count()


def test_a_double_click_takes_one_piece_away(open_page: Open) -> None:
    page = open_page()
    had = entries(page, "hardware")
    page.locator('[data-entry="hardware 0"] summary').first.click()
    does(page, page.get_by_role("button", name="Remove left magnet", exact=True).dblclick)
    # the second click's change, were it made, would be planned before this one
    does(page, lambda: page.get_by_label("Who moves the panel").select_option("hand"))
    assert entries(page, "hardware") == had - 1


def test_a_magnet_is_added_where_no_flap_comes_down_on_another_part(open_page: Open) -> None:
    page = open_page()
    page.get_by_label("Start a new bag").select_option("boxed tote side")
    does(page, page.get_by_role("button", name="Start", exact=True).click)
    had = entries(page, "hardware")
    does(page, page.get_by_role("button", name="Add a piece", exact=True).click)
    assert entries(page, "hardware") == had + 1


def test_sewn_from_the_back_the_picture_says_which_side_it_shows(open_page: Open) -> None:
    page = open_page()
    words = page.get_by_text("Here the outer fabric lies up.")
    expect(words).not_to_be_visible()
    does(page, lambda: page.get_by_label("Lies up while sewing").select_option("back"))
    expect(words).to_be_visible()


def test_a_piece_that_is_taken_away_leaves_the_focus_on_the_panel(open_page: Open) -> None:
    page = open_page()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # to the panel
    page.keyboard.press("Tab")
    does(page, lambda: page.keyboard.press("Delete"))
    expect(page.locator(".stage:focus, .stage :focus").first).to_be_visible()


def test_a_shape_that_does_not_close_is_shown_flat(open_page: Open) -> None:
    page = open_page()
    page.get_by_role("radio", name="Closed").check()
    does(page, lambda: page.get_by_label("Shape", exact=True).select_option("ellipse"))
    expect(page.get_by_role("radio", name="Flat")).to_be_checked()


@pytest.mark.nightly
def test_sewn_from_the_back_the_panel_is_turned_outer_fabric_down(open_page: Open) -> None:
    page = open_page()
    does(page, lambda: page.get_by_label("Lies up while sewing").select_option("back"))
    does(page, lambda: page.get_by_label("Who moves the panel").select_option("hand"))
    page.get_by_role("button", name="Next line").click()
    expect(page.locator(".walk-says")).to_contain_text("outer fabric down")


def test_a_fault_that_has_no_field_is_told_by_its_step_and_name(
    serve: Serve, open_page: Open, page_with_a_seam: str
) -> None:
    page = open_page(served=serve(page_with_a_seam))
    page.get_by_label("Shape", exact=True).select_option("rectangle")
    expect(page.locator(".trouble")).to_contain_text("Seams, flap binding: no edge is called")
    expect(page.locator(".trouble")).not_to_contain_text("seams[0]")


@pytest.fixture
def page_with_a_seam(tmp_path: Path) -> str:
    """A project file whose seam runs along an edge that other shapes have not."""
    text = demo_text() + '\n[[seams]]\nname = "flap binding"\nedges = ["flap edge"]\n'
    (tmp_path / "pouch.toml").write_text(text, encoding="utf-8")
    return "pouch.toml"

"""A bag that is open in two tabs, and a page whose server has ended."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from support_page import EXAMPLES, Open, Serve, pouch_in, ready, shown


def second(page: Page) -> Page:
    """Another tab of the same browser with the same bag."""
    other = page.context.new_page()
    other.goto(page.url)
    ready(other)
    return other


def remove(page: Page, name: str) -> None:
    before = shown(page)
    page.locator(f'.handle[data-name="{name}"]').focus()
    page.keyboard.press("Delete")
    ready(page, before)


def names(page: Page) -> list[str]:
    """Of the closures on the panel, without their other halves."""
    handles = page.locator('.handle[tabindex="0"]')
    found: list[str] = handles.evaluate_all("all => all.map(one => one.dataset.name)")
    return found


def test_what_is_changed_in_one_tab_is_shown_in_the_other(open_page: Open) -> None:
    one = open_page()
    other = second(one)
    remove(one, "left magnet")
    expect(other.locator('.handle[data-name="left magnet"]')).to_have_count(0)


def test_a_change_to_what_is_no_longer_so_is_not_made(open_page: Open) -> None:
    # the first piece is removed in a tab that hears nothing of the other
    one = open_page()
    one.evaluate("BroadcastChannel.prototype.postMessage = () => {}")
    other = second(one)
    remove(one, "left magnet")
    remove(other, "left magnet")
    expect(other.locator(".trouble")).to_contain_text("changed in another tab")
    assert names(other) == ["right magnet", "label"]


def test_a_page_says_at_once_that_its_server_has_ended(open_page: Open, serve: Serve) -> None:
    served = serve()
    page = open_page(served=served)
    served.end()
    expect(page.locator(".trouble")).to_contain_text("The planner has ended.")


@pytest.mark.nightly
def test_it_says_when_work_is_lost(open_page: Open, serve: Serve) -> None:
    served = serve()
    page = open_page(served=served)
    remove(page, "left magnet")
    served.end()
    expect(page.locator(".trouble")).to_contain_text("what was not saved is gone")


@pytest.mark.nightly
def test_after_that_it_asks_nothing_any_more(open_page: Open, serve: Serve) -> None:
    # what is asked in vain stands in the browser's console, which the fixture reads
    served = serve()
    page = open_page(served=served)
    served.end()
    expect(page.locator(".trouble")).to_contain_text("The planner has ended.")
    page.locator("#save").click()
    expect(page.locator(".trouble")).to_contain_text("The planner has ended.")


@pytest.mark.nightly
def test_a_file_that_was_taken_away_is_asked_about(
    open_page: Open, serve: Serve, tmp_path: Path
) -> None:
    path, _ = pouch_in(tmp_path)
    page = open_page(served=serve(path.name))
    remove(page, "left magnet")
    path.unlink()
    page.locator("#save").click()
    expect(page.get_by_role("dialog")).to_contain_text("not there any more")
    page.get_by_role("button", name="Write it again").click()
    expect(page.get_by_role("status")).to_have_text("Saved in spoke-pouch.toml.")
    assert path.exists()


def test_all_sizes_come_in_one_zip(open_page: Open) -> None:
    page = open_page(str(EXAMPLES / "class-pouch.toml"))
    page.get_by_role("button", name="Choose none").click()
    page.get_by_role("checkbox", name="dst: stitches").check()
    page.get_by_role("radio", name="all sizes, each in a folder of its own").check()
    with page.expect_download() as waiting:
        page.locator("#download").click()
    found = zipfile.ZipFile(io.BytesIO(Path(waiting.value.path()).read_bytes())).namelist()
    assert {name.partition("/")[0] for name in found} == {"s", "m", "l"}


@pytest.mark.nightly
def test_one_kind_of_file_comes_by_itself(open_page: Open) -> None:
    page = open_page()
    page.get_by_role("button", name="Choose none").click()
    page.get_by_role("checkbox", name="dst: stitches").check()
    with page.expect_download() as waiting:
        page.locator("#download").click()
    assert waiting.value.suggested_filename == "spoke-pouch.dst"

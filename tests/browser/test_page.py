"""The page in a real browser: what a maker does with it, and what comes of it."""

from __future__ import annotations

import io
import tomllib
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from loftline.readers import read_stitch_file
from support_page import EXAMPLES, Open, Serve, pouch_in, ready, shown


def handle(page: Page, name: str) -> Locator:
    return page.locator(f'.handle[data-name="{name}"]')


def middle(of: Locator) -> tuple[float, float]:
    box = of.bounding_box()
    assert box is not None
    return round(box["x"] + box["width"] / 2, 2), round(box["y"] + box["height"] / 2, 2)


def drag(page: Page, name: str, dx: float, dy: float) -> None:
    """Drag a piece by pixels, in steps, and wait for the plan."""
    before = shown(page)
    x, y = middle(handle(page, name).locator(".hard"))
    page.mouse.move(x, y)
    page.mouse.down()
    for i in range(1, 9):
        page.mouse.move(x + dx * i / 8, y + dy * i / 8)
    page.mouse.up()
    ready(page, before)


def does(page: Page, act: Callable[[], object]) -> None:
    """Do something that leads to another plan, and wait for it."""
    before = shown(page)
    act()
    ready(page, before)


def figure(page: Page, name: str) -> str:
    return page.locator(f'[data-figure="{name}"] dd').inner_text()


def field(page: Page, path: str) -> Locator:
    return page.locator(f'[data-path="{path}"]')


def write(page: Page, path: str, text: str) -> None:
    """Type into a field and leave it."""
    box = field(page, path)
    box.fill(text)
    does(page, lambda: box.press("Tab"))


def download(page: Page) -> zipfile.ZipFile:
    with page.expect_download() as waiting:
        page.locator("#download").click()
    return zipfile.ZipFile(io.BytesIO(Path(waiting.value.path()).read_bytes()))


@pytest.mark.nightly
def test_a_dragged_magnet_takes_its_other_half_along(open_page: Open) -> None:
    page = open_page()
    x, _ = middle(handle(page, "left magnet, other half").locator(".hard"))
    drag(page, "left magnet", 30, 0)
    moved, _ = middle(handle(page, "left magnet, other half").locator(".hard"))
    assert round(moved - x) in range(26, 35)


def test_the_other_half_follows_before_the_piece_is_let_go(open_page: Open) -> None:
    page = open_page()
    x, y = middle(handle(page, "left magnet").locator(".hard"))
    mate, _ = middle(handle(page, "left magnet, other half").locator(".hard"))
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 30, y, steps=6)
    page.wait_for_function(
        """at => {
            const box = document.querySelector(
                '.handle[data-name="left magnet, other half"] .hard').getBoundingClientRect();
            return Math.abs(box.x + box.width / 2 - at) > 20;
        }""",
        arg=mate,
    )
    page.mouse.up()


def test_a_dragged_magnet_changes_what_is_downloaded(open_page: Open) -> None:
    page = open_page()
    before = read_stitch_file("dst", download(page).read("spoke-pouch.dst"))
    drag(page, "left magnet", 25, 40)
    after = read_stitch_file("dst", download(page).read("spoke-pouch.dst"))
    assert len(before) != len(after) or (before.x != after.x).any()


@pytest.mark.nightly
def test_distances_to_the_edges_are_told_while_a_piece_is_dragged(open_page: Open) -> None:
    page = open_page()
    x, y = middle(handle(page, "left magnet").locator(".hard"))
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 20, y + 12, steps=4)
    expect(page.locator(".distance")).to_contain_text("to the cut edge")
    page.mouse.up()


@pytest.mark.nightly
def test_a_piece_snaps_to_the_centre_line(open_page: Open) -> None:
    page = open_page()
    x, _ = middle(handle(page, "left magnet").locator(".hard"))
    centre, _ = middle(handle(page, "label").locator(".hard"))
    drag(page, "left magnet", centre - x + 4, 0)
    assert field(page, "hardware[0].at[0]").input_value() == "125"


def test_undo_puts_a_dragged_magnet_back(open_page: Open) -> None:
    page = open_page()
    before = middle(handle(page, "left magnet").locator(".hard"))
    drag(page, "left magnet", 30, 0)
    does(page, lambda: page.locator("#undo").click())
    assert middle(handle(page, "left magnet").locator(".hard")) == before


@pytest.mark.nightly
def test_redo_moves_it_again(open_page: Open) -> None:
    page = open_page()
    drag(page, "left magnet", 30, 0)
    moved = middle(handle(page, "left magnet").locator(".hard"))
    does(page, lambda: page.locator("#undo").click())
    does(page, lambda: page.locator("#redo").click())
    assert middle(handle(page, "left magnet").locator(".hard")) == moved


def test_a_bag_is_made_from_nothing_to_a_zip(open_page: Open) -> None:
    page = open_page()
    page.locator("#new-shape").select_option("rectangle")
    does(page, lambda: page.get_by_role("button", name="Start", exact=True).click())
    write(page, "name", "Saddle mat")
    write(page, "panel.width", "8 in")
    page.locator("#new-kind").select_option("label")
    does(page, lambda: page.get_by_role("button", name="Add a piece").click())
    does(page, lambda: page.locator('input[name="pattern-0"][value="grid"]').check())
    names = download(page).namelist()
    assert {"saddle-mat.dst", "saddle-mat.svg"} <= set(names)


def test_a_piece_is_moved_and_saved_with_the_keyboard_alone(open_page: Open, serve: Serve) -> None:
    served = serve()
    page = open_page(served=served)
    for _ in range(200):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.dataset.name") == "left magnet":
            break
    does(page, lambda: page.keyboard.press("ArrowRight"))
    page.keyboard.press("Control+s")
    expect(page.get_by_role("status")).to_have_text("Saved in spoke-pouch.toml.")
    saved = tomllib.loads((served.folder / "spoke-pouch.toml").read_text(encoding="utf-8"))
    assert saved["hardware"][0]["at"] == [76, 378]


def test_what_cannot_be_is_told_at_its_field(open_page: Open) -> None:
    page = open_page()
    box = field(page, "panel.width")
    box.fill("3 bananas")
    box.press("Tab")
    expect(box).to_have_attribute("aria-invalid", "true")


@pytest.mark.nightly
def test_what_cannot_be_leaves_the_plan_as_it_was(open_page: Open) -> None:
    page = open_page()
    before = figure(page, "stitches")
    box = field(page, "panel.width")
    box.fill("3 bananas")
    box.press("Tab")
    expect(box).to_have_attribute("aria-invalid", "true")
    assert figure(page, "stitches") == before


def test_a_file_that_was_changed_meanwhile_is_not_written_over_unasked(
    open_page: Open, serve: Serve, tmp_path: Path
) -> None:
    path, text = pouch_in(tmp_path)
    page = open_page(served=serve(path.name))
    write(page, "panel.width", "240")
    other = text.replace("copies = 12", "copies = 3")
    path.write_text(other, encoding="utf-8")
    page.locator("#save").click()
    expect(page.get_by_role("dialog")).to_contain_text("changed meanwhile")
    assert path.read_text(encoding="utf-8") == other


def test_when_asked_the_file_is_written_over(open_page: Open, serve: Serve, tmp_path: Path) -> None:
    path, text = pouch_in(tmp_path)
    page = open_page(served=serve(path.name))
    write(page, "panel.width", "240")
    path.write_text(text.replace("copies = 12", "copies = 3"), encoding="utf-8")
    page.locator("#save").click()
    page.get_by_role("button", name="Write over it").click()
    expect(page.get_by_role("status")).to_have_text("Saved in spoke-pouch.toml.")
    assert path.read_text(encoding="utf-8") == text.replace("width = 250", "width = 240")


@pytest.mark.nightly
def test_what_the_file_holds_now_can_be_taken_instead(
    open_page: Open, serve: Serve, tmp_path: Path
) -> None:
    path, text = pouch_in(tmp_path)
    page = open_page(served=serve(path.name))
    write(page, "panel.width", "240")
    path.write_text(text.replace("copies = 12", "copies = 3"), encoding="utf-8")
    page.locator("#save").click()
    does(page, lambda: page.get_by_role("button", name="Take what it holds now").click())
    assert (field(page, "copies").input_value(), field(page, "panel.width").input_value()) == (
        "3",
        "250",
    )


def test_unsaved_work_survives_a_reload(open_page: Open) -> None:
    page = open_page()
    write(page, "panel.width", "240")
    page.reload()
    ready(page)
    assert field(page, "panel.width").input_value() == "240"


def test_a_finding_leads_to_its_place(open_page: Open) -> None:
    page = open_page()
    found = page.locator('[data-code="magnets-first"]')
    found.get_by_role("button", name="Show the place").click()
    ring, magnet = middle(page.locator(".ring")), middle(handle(page, "left magnet"))
    assert ring == magnet or max(abs(ring[0] - magnet[0]), abs(ring[1] - magnet[1])) < 1


def test_a_finding_leads_to_its_field(open_page: Open) -> None:
    page = open_page()
    page.locator('[data-code="lines-miss"]').get_by_role("button", name="Go to the field").click()
    assert page.evaluate("document.activeElement.closest('[data-entry]').dataset.entry") == (
        "fills 0"
    )


@pytest.mark.nightly
def test_the_sew_through_tells_the_first_line(open_page: Open) -> None:
    page = open_page()
    page.get_by_role("button", name="Next line").click()
    expect(page.locator(".walk-says")).to_contain_text("Line 1 of ")


def test_the_sew_through_by_hand_says_how_to_turn_the_panel(open_page: Open) -> None:
    page = open_page()
    does(page, lambda: field(page, "machine.guided").select_option("hand"))
    page.get_by_role("button", name="Next line").click()
    expect(page.locator(".walk-says")).to_contain_text("lies at your left")


def test_the_closed_bag_is_shown(open_page: Open) -> None:
    page = open_page()
    page.get_by_role("radio", name="Closed").check()
    pictures = page.get_by_role("img", name="with the quilting as it will show")
    expect(pictures).to_have_count(2)
    for picture in pictures.all():
        assert picture.evaluate("image => image.decode().then(() => image.naturalWidth > 100)")


def test_designs_stand_side_by_side(open_page: Open) -> None:
    page = open_page()
    page.get_by_role("button", name="Compare designs side by side").click()
    page.get_by_role("checkbox", name="grid", exact=True).check()
    page.get_by_role("checkbox", name="echo", exact=True).check()
    page.get_by_role("button", name="Compare", exact=True).click()
    expect(page.locator(".sample")).to_have_count(3)


@pytest.mark.nightly
def test_a_design_of_those_compared_is_taken(open_page: Open) -> None:
    page = open_page()
    page.get_by_role("button", name="Compare designs side by side").click()
    page.get_by_role("checkbox", name="echo", exact=True).check()
    page.get_by_role("button", name="Compare", exact=True).click()
    does(page, lambda: page.get_by_role("button", name="Take this one").click())
    expect(page.locator('input[name="pattern-0"][value="echo"]')).to_be_checked()


def test_a_name_is_shown_as_text_whatever_it_looks_like(open_page: Open) -> None:
    page = open_page()
    write(page, "name", "<img src=x onerror=alert(1)>")
    assert page.locator("h1").inner_text() == "<img src=x onerror=alert(1)>"
    assert page.locator("h1 img").count() == 0


@pytest.mark.nightly
def test_a_size_is_chosen(open_page: Open) -> None:
    page = open_page(str(EXAMPLES / "class-pouch.toml"))
    before = figure(page, "closed_size")
    does(page, lambda: page.locator("#size-shown").select_option("L"))
    assert figure(page, "closed_size") != before


@pytest.mark.nightly
def test_a_removed_piece_is_gone_from_the_panel(open_page: Open) -> None:
    page = open_page()
    handle(page, "right magnet").focus()
    does(page, lambda: page.keyboard.press("Delete"))
    assert handle(page, "right magnet").count() == 0


def test_of_questions_that_wait_only_the_newest_is_asked(open_page: Open) -> None:
    page = open_page()
    asked = page.evaluate(
        """async () => {
            const { latest } = await import('./latest.js');
            const asked = [], shown = [];
            const queue = latest(
                async q => { asked.push(q); await new Promise(t => setTimeout(t, 20)); return q; },
                a => shown.push(a), () => {});
            for (let q = 1; q <= 9; q += 1) queue.ask(q);
            await new Promise(t => setTimeout(t, 200));
            return [asked, shown];
        }"""
    )
    assert asked == [[1, 9], [1, 9]]


def test_when_a_piece_is_let_go_nothing_older_is_shown_after_it(open_page: Open) -> None:
    page = open_page()
    left = page.evaluate(
        """async () => {
            const { latest } = await import('./latest.js');
            const shown = [];
            const queue = latest(
                q => new Promise(t => setTimeout(() => t(q), 20)), a => shown.push(a), () => {});
            queue.ask(1);
            queue.ask(2);
            await queue.settle();
            const before = [...shown];
            await new Promise(t => setTimeout(t, 100));
            return [before, shown];
        }"""
    )
    assert left == [[1], [1]]


def test_another_bag_leaves_the_file_of_the_one_before(
    open_page: Open, serve: Serve, tmp_path: Path
) -> None:
    path, text = pouch_in(tmp_path)
    page = open_page(served=serve(path.name))
    page.locator("#new-shape").select_option("ellipse")
    does(page, lambda: page.get_by_role("button", name="Start", exact=True).click())
    page.locator("#save").click()
    expect(page.get_by_role("status")).to_contain_text("Saved in")
    assert path.read_text(encoding="utf-8") == text


@pytest.mark.nightly
def test_an_added_closure_has_its_other_half(open_page: Open) -> None:
    page = open_page()
    page.locator("#new-kind").select_option("magnetic snap")
    does(page, lambda: page.get_by_role("button", name="Add a piece").click())
    assert handle(page, "magnetic snap 1, other half").count() == 1


@pytest.mark.nightly
def test_the_hoopings_are_shown_where_there_are_several(open_page: Open) -> None:
    page = open_page()
    assert page.get_by_role("radio", name="Hoopings").count() == 0
    write(page, "machine.hoop[0]", "180")
    write(page, "machine.hoop[1]", "300")
    page.get_by_role("radio", name="Hoopings").check()
    expect(page.locator(".key")).to_contain_text("one placing of the panel")
    expect(page.locator(".key")).to_contain_text("registration cross")


@pytest.mark.nightly
def test_a_kind_of_file_that_was_left_out_is_told(open_page: Open) -> None:
    page = open_page()
    write(page, "panel.width", "700")  # no frame of jef is that large
    page.get_by_role("checkbox", name="jef").check()
    assert "spoke-pouch.jef" not in download(page).namelist()
    expect(page.get_by_role("status")).to_contain_text("No jef file was written")


@pytest.mark.nightly
def test_the_closed_bag_has_its_key(open_page: Open) -> None:
    page = open_page()
    page.get_by_role("radio", name="Closed").check()
    expect(page.locator(".key")).to_contain_text("inside or underneath")
    expect(page.locator(".key")).to_contain_text("left magnet, other half")

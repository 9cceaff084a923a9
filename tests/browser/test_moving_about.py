"""Larger, smaller and aside: the panel by wheel, two fingers, dragging and keys."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from support_page import Open

LEFT, RIGHT = "left magnet", "right magnet"


def place(page: Page, name: str) -> tuple[float, float]:
    """The middle of a piece on the screen, px."""
    box = page.locator(f'.handle[data-name="{name}"] .hard').bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def apart(page: Page) -> float:
    """Distance between the two magnets on the screen, px; 100 mm on the panel."""
    return place(page, RIGHT)[0] - place(page, LEFT)[0]


def test_the_wheel_makes_it_larger_round_the_pointer(open_page: Open) -> None:
    page = open_page()
    before, (x, y) = apart(page), place(page, LEFT)
    page.mouse.move(x, y)
    page.mouse.wheel(0, -300)
    page.wait_for_timeout(300)
    assert apart(page) > 1.3 * before
    assert place(page, LEFT) == pytest.approx((x, y), abs=1)


@pytest.mark.nightly
def test_the_wheel_makes_it_smaller_too(open_page: Open) -> None:
    page = open_page()
    before = apart(page)
    page.mouse.move(*place(page, LEFT))
    page.mouse.wheel(0, 300)
    page.wait_for_timeout(300)
    assert apart(page) < before / 1.3


@pytest.mark.nightly
@pytest.mark.parametrize(("key", "times"), [("+", 1.25), ("-", 0.8)])
def test_keys_change_the_size(open_page: Open, key: str, times: float) -> None:
    page = open_page()
    before = apart(page)
    page.locator(".stage").focus()
    page.keyboard.press(key)
    assert apart(page) == pytest.approx(times * before, rel=0.01)


@pytest.mark.nightly
def test_0_shows_all_of_it_again(open_page: Open) -> None:
    page = open_page()
    before = place(page, LEFT)
    page.locator(".stage").focus()
    for key in ("+", "+", "ArrowLeft", "ArrowUp", "0"):
        page.keyboard.press(key)
    assert place(page, LEFT) == pytest.approx(before, abs=0.5)


@pytest.mark.nightly
@pytest.mark.parametrize(
    ("key", "dx", "dy"),
    [
        ("ArrowLeft", 40, 0),
        ("ArrowRight", -40, 0),
        ("ArrowUp", 0, 40),
        ("ArrowDown", 0, -40),
        ("Shift+ArrowLeft", 120, 0),
    ],
)
def test_arrow_keys_look_aside(open_page: Open, key: str, dx: float, dy: float) -> None:
    page = open_page()
    x, y = place(page, LEFT)
    page.locator(".stage").focus()
    page.keyboard.press(key)
    assert place(page, LEFT) == pytest.approx((x + dx, y + dy), abs=0.5)


@pytest.mark.nightly
def test_dragging_beside_a_piece_moves_the_picture(open_page: Open) -> None:
    page = open_page()
    x, y = place(page, LEFT)
    page.mouse.move(x + 40, y + 60)
    page.mouse.down()
    page.mouse.move(x + 70, y + 80, steps=5)
    page.mouse.up()
    assert place(page, LEFT) == pytest.approx((x + 30, y + 20), abs=1)


def test_two_fingers_make_it_larger(open_page: Open) -> None:
    page = open_page(has_touch=True)
    before, (x, y) = apart(page), place(page, LEFT)
    fingers = page.context.new_cdp_session(page)

    def touch(kind: str, reach: float) -> None:
        points = [{"x": x - reach, "y": y + 60}, {"x": x + reach, "y": y + 60}]
        ended = kind == "touchEnd"
        fingers.send(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [] if ended else points}
        )

    touch("touchStart", 30)
    for reach in (40, 50, 60):
        touch("touchMove", reach)
    touch("touchEnd", 60)
    page.wait_for_timeout(300)
    assert apart(page) == pytest.approx(2 * before, rel=0.15)

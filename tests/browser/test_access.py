"""The page for everybody: without a mouse, with a reader of screens, large, narrow, dark."""

from __future__ import annotations

from importlib import resources
from typing import Any

import pytest
from playwright.sync_api import Page

from support_page import Open, ready, shown

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def violations(page: Page) -> list[str]:
    """What axe-core finds, by rule and place."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(
            resources.files("axe_playwright_python")
            .joinpath("axe.min.js")
            .read_text(encoding="utf-8")
        )
    found: dict[str, Any] = page.evaluate(
        "tags => axe.run({runOnly: {type: 'tag', values: tags}})", RULES
    )
    return [
        f"{rule['id']}: {node['target']}" for rule in found["violations"] for node in rule["nodes"]
    ]


@pytest.mark.parametrize("scheme", ["light", pytest.param("dark", marks=pytest.mark.nightly)])
def test_axe_finds_nothing(open_page: Open, scheme: str) -> None:
    page = open_page(color_scheme=scheme)
    while page.evaluate(
        """async () => {
            const folded = [...document.querySelectorAll('details:not([open])')];
            for (const details of folded) details.open = true;
            await new Promise(t => setTimeout(t, 50));
            return folded.length;
        }"""
    ):
        pass
    assert violations(page) == []


@pytest.mark.nightly
def test_axe_finds_nothing_in_a_question(open_page: Open) -> None:
    page = open_page()
    page.get_by_role("button", name="Compare designs side by side").click()
    assert violations(page) == []


@pytest.mark.nightly
def test_axe_finds_nothing_in_a_fault(open_page: Open) -> None:
    page = open_page()
    box = page.locator('[data-path="panel.width"]')
    box.fill("3 bananas")
    box.press("Tab")
    page.wait_for_selector('[aria-invalid="true"]')
    assert violations(page) == []


def test_axe_sees_a_fault_when_there_is_one(open_page: Open) -> None:
    page = open_page()
    page.evaluate("document.body.append(document.createElement('button'))")
    assert any(found.startswith("button-name") for found in violations(page))


@pytest.mark.parametrize(
    ("width", "height"),
    [
        (1280, 720),
        (390, 844),
        *(
            pytest.param(*size, marks=pytest.mark.nightly)
            for size in [(1024, 768), (640, 360), (320, 640)]
        ),
    ],
)
def test_nothing_lies_beside_the_page(open_page: Open, width: int, height: int) -> None:
    # 640 x 360 is what a page of 1280 x 720 has left at 200 %
    page = open_page(viewport={"width": width, "height": height})
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_the_next_line_is_in_view_on_a_small_screen(open_page: Open) -> None:
    page = open_page()
    box = page.get_by_role("button", name="Next line").bounding_box()
    assert box is not None
    assert box["y"] + box["height"] <= 720


@pytest.mark.nightly
def test_the_keyboard_reaches_everything(open_page: Open) -> None:
    page = open_page()
    wanted: int = page.evaluate(
        """() => [...document.querySelectorAll(
            'button, select, input:not([type=radio]), summary, [tabindex="0"]')]
            .filter(e => !e.disabled && e.checkVisibility() && !e.closest('[inert]')).length"""
    )
    seen = set()
    page.evaluate("window.names = new Map()")
    for _ in range(wanted * 2):
        page.keyboard.press("Tab")
        seen.add(
            page.evaluate(
                """() => { const e = document.activeElement;
                if (!names.has(e)) names.set(e, names.size);
                return e === document.body || e.type === 'radio' ? -1 : names.get(e); }"""
            )
        )
    assert len(seen - {-1}) == wanted


def test_what_is_focused_stays_focused_after_a_change(open_page: Open) -> None:
    page = open_page()
    box = page.locator('[data-path="panel.width"]')
    box.fill("240")
    before = shown(page)
    box.press("Enter")
    ready(page, before)
    assert page.evaluate("document.activeElement.dataset.path") == "panel.width"


def test_nothing_moves_by_itself_where_less_motion_is_asked_for(open_page: Open) -> None:
    page = open_page(reduced_motion="reduce")
    page.evaluate(
        """() => { window.frames_ = 0; const ask = window.requestAnimationFrame;
            window.requestAnimationFrame = act => { window.frames_ += 1; return ask(act); }; }"""
    )
    page.get_by_role("button", name="Go on by itself").click()
    page.wait_for_timeout(400)
    page.get_by_role("button", name="Stop").click()
    assert page.evaluate("window.frames_") == 0


def test_every_word_of_the_page_is_in_the_catalogue(open_page: Open) -> None:
    page = open_page()
    unknown = page.evaluate(
        """async () => {
            const { WORDS } = await import('./words.js');
            const looks = /^[a-z]+(_[a-z0-9]+)+$/;
            return [...document.querySelectorAll('body *')]
                .flatMap(e => [e.getAttribute('aria-label'), e.title,
                    ...[...e.childNodes].filter(n => n.nodeType === 3).map(n => n.data)])
                .filter(t => t && looks.test(t.trim()));
        }"""
    )
    assert unknown == []

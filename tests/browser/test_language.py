"""All labels in one catalogue: the page in a language of the test's own, every word in brackets."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Generator, Iterator
from importlib import resources
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from loftline.plan import make_plan
from loftline.project import PATTERN_KEYS, TEMPLATE_SHAPES, json_schema, parse_project
from loftline.trade.hardware import KINDS
from loftline.web.packing import shortened
from support_page import Serve, ready

STATIC = resources.files("loftline.web").joinpath("static")
FILE = Path(__file__).parents[2] / "docs" / "examples" / "class-pouch.toml"

BARE = """() => {
    const found = new Set();
    const look = (element, text) => {
        if (element.closest('noscript, [lang="en"]')) return;
        for (const piece of (text ?? '').split(/⟦[^⟧]*⟧|, /)) found.add(piece.trim());
    };
    for (const element of document.querySelectorAll('body, body *')) {
        for (const name of ['aria-label', 'title', 'placeholder', 'alt'])
            look(element, element.getAttribute(name));
        for (const node of element.childNodes) if (node.nodeType === 3) look(element, node.data);
    }
    return [...found];
}"""
"""What stands outside brackets and is not said to be English."""

MEASURE = re.compile(r"[\W\d]*(?:mm|cm|m|in|h|min)?")


def strings(value: object) -> Iterator[str]:
    """Every word in a project's tables or a schema."""
    match value:
        case str():
            yield " ".join(value.split())
        case dict():
            yield from (word for item in value.values() for word in strings(item))
        case list():
            yield from (word for item in value for word in strings(item))


def own_words() -> set[str]:
    """Words of the maker's file, and words that a file may hold: no labels."""
    data = tomllib.loads(FILE.read_text(encoding="utf-8"))
    plan = make_plan(dict(parse_project(data).sized())["S"])
    panel = plan.panel
    found = {*strings(data), *strings(json_schema()), *(kind.name for kind in KINDS)}
    found |= {*TEMPLATE_SHAPES, *PATTERN_KEYS, FILE.name, *strings(shortened(plan.project))}
    for things in (panel.parts, panel.folds, panel.pieces, panel.keep_outs, plan.report.seams):
        found |= {part for thing in things for part in thing.name.split(", ")}
    return found | {*panel.edge_lengths}


def in_brackets(catalogue: str) -> str:
    """The catalogue with all its words in brackets, around the values that are put in."""
    head, rest = catalogue.split("WORDS = {", 1)
    body, tail = rest.split("\n};", 1)
    body = re.sub(
        r'^(  "?\w+"?: ")((?:[^"\\]|\\.)*)(",)$',
        lambda m: m[1] + "⟦" + re.sub(r"(\{\w+\})", r"⟧\1⟦", m[2]) + "⟧" + m[3],
        body,
        flags=re.MULTILINE,
    )
    return f"{head}WORDS = {{{body}\n}};{tail}".replace('lang: "⟦en⟧"', 'lang: "und"')


@pytest.fixture
def foreign(browser: Browser, serve: Serve) -> Generator[Page]:
    page = browser.new_page()
    text = in_brackets(STATIC.joinpath("words.js").read_text(encoding="utf-8"))
    page.route(
        "**/words.js", lambda route: route.fulfill(body=text, content_type="text/javascript")
    )
    page.goto(serve(str(FILE)).address)
    ready(page)
    yield page
    page.close()


def test_the_catalogue_is_taken_whole() -> None:
    text = in_brackets(STATIC.joinpath("words.js").read_text(encoding="utf-8"))
    lines = text.split("WORDS = {", 1)[1].split("\n};", 1)[0].splitlines()
    assert [line for line in lines if line.strip() and "⟦" not in line] == ['  lang: "und",']


def test_no_label_stands_outside_the_catalogue(foreign: Page) -> None:
    own = own_words()
    bare = [piece for piece in opened(foreign) if piece not in own]
    assert [piece for piece in bare if not MEASURE.fullmatch(piece)] == []


def test_a_label_outside_the_catalogue_is_found(foreign: Page) -> None:
    foreign.evaluate("document.querySelector('.bench').append('Zoom')")
    assert "Zoom" in set(opened(foreign)) - own_words()


@pytest.mark.nightly
def test_the_planners_sentences_are_said_to_be_english(foreign: Page) -> None:
    assert foreign.locator('.finding p[lang="en"]').count() == foreign.locator(".finding").count()


def opened(page: Page) -> list[str]:
    """What is bare once all that is folded away has been opened, again and again."""
    closed = page.locator("details:not([open])")
    while closed.count():
        closed.first.evaluate("d => { d.open = true; }")
        page.wait_for_timeout(20)
    found: list[str] = page.evaluate(BARE)
    return found

"""A server of its own for each test of the page, and a real browser without a window.

Every test with a page fails if the page says anything in the browser's console, or asks for
anything that is not on this machine.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Generator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from loftline.cli.commands import demo_text
from loftline.web import Document, listening

EXAMPLES = Path(__file__).parents[1] / "docs" / "examples"

REBOUND = "evil.test"
"""A name that leads to this machine, in the tests' browser alone."""

Open = Callable[..., Page]


@dataclass(frozen=True)
class Served:
    """A page that is served.

    Attributes:
        address: of the page.
        folder: that it was started in.
        end: ends the server, as Ctrl-C does.
    """

    address: str
    folder: Path
    end: Callable[[], None]


Serve = Callable[..., Served]


def ready(page: Page, after: int = 0) -> int:
    """Wait until nothing is being planned and the page has shown more than ``after`` plans."""
    page.wait_for_function(
        """after => {
            const d = document.documentElement.dataset;
            return d.state === "idle" && Number(d.revision ?? 0) > after;
        }""",
        arg=after,
    )
    return shown(page)


def pouch_in(folder: Path) -> tuple[Path, str]:
    """The example of the Spoke pouch in a folder of its own: where it lies, and its text."""
    path = folder / "spoke-pouch.toml"
    text = (EXAMPLES / path.name).read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    return path, text


def shown(page: Page) -> int:
    """How many plans the page has shown."""
    return int(page.evaluate("Number(document.documentElement.dataset.revision ?? 0)"))


@pytest.fixture
def serve(tmp_path: Path) -> Generator[Serve]:
    """A server on a thread for each project file that is opened; without one, the demo."""
    with ExitStack() as stack:

        def start(file: str | None = None) -> Served:
            path = None if file is None else tmp_path / file
            document = (
                Document.fresh(demo_text(), tmp_path) if path is None else Document.read(path)
            )
            page = stack.enter_context(listening(document))
            thread = Thread(target=page.run)
            thread.start()

            def end() -> None:
                page.server.should_exit = True
                thread.join(5)

            stack.callback(end)
            return Served(address=page.address, folder=tmp_path, end=end)

        yield start


@pytest.fixture(scope="session")
def browser() -> Generator[Browser]:
    """Debian's Chromium, or whatever Chromium there is."""
    path = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
    if path is None:
        pytest.skip(
            "THE PROGRAM chromium IS NOT HERE, so the page is not tested (Debian package: chromium)"
        )
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(
            executable_path=path,
            args=[
                "--disable-gpu",
                "--disable-quic",
                f"--host-resolver-rules=MAP {REBOUND} 127.0.0.1",
            ],
        )
        yield found
        found.close()


@pytest.fixture
def open_page(browser: Browser, serve: Serve) -> Generator[Open]:
    """Open a page on a server of its own; settings as for a browser's page."""
    noise: list[str] = []
    pages: list[Page] = []

    def start(*words: str, served: Served | None = None, **settings: object) -> Page:
        served = served or serve(*words)
        context = browser.new_context(
            **{"viewport": {"width": 1280, "height": 720}, **settings}  # type: ignore[arg-type]
        )
        page = context.new_page()
        host = urlsplit(served.address).netloc
        page.on("console", lambda message: noise.append(message.text))
        page.on("pageerror", lambda error: noise.append(str(error)))
        page.on(
            "request",
            lambda request: (
                None
                if urlsplit(request.url).netloc == host or request.url.startswith("blob:")
                else noise.append(f"asked for {request.url}")
            ),
        )
        page.goto(served.address)
        ready(page)
        pages.append(page)
        return page

    yield start
    for page in pages:
        page.context.close()
    assert noise == []

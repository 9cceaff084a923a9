"""Other pages and other names, tried in a real browser against a page whose address they know."""

from __future__ import annotations

from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser

from support_page import REBOUND, Open, Serve


class _Plain(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        body = b"<!doctype html><title>other</title>"
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: object) -> None: ...


@pytest.fixture
def other() -> Iterator[str]:
    """Another page on this machine, of another port."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), _Plain)
    thread = Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()
    thread.join()
    server.server_close()


TRIES = {
    "fetch": "fetch(url).then(a => a.text())",
    "blind fetch": """fetch(url + 'ask/begin', {method: 'POST', mode: 'no-cors', body: '{}'})
        .then(a => { if (a.type === 'opaque') throw 0; })""",
    "post": """fetch(url + 'ask/begin', {method: 'POST', body: '{}',
        headers: {'content-type': 'application/json'}}).then(a => a.text())""",
    "script": """new Promise((yes, no) => { const s = document.createElement('script');
        s.type = 'module'; s.src = url + 'main.js'; s.onload = yes; s.onerror = no;
        document.head.append(s); })""",
    "picture": """new Promise((yes, no) => { const s = new Image();
        s.src = url + 'icon.svg'; s.onload = yes; s.onerror = no; })""",
    "socket": """new Promise((yes, no) => { const s = new WebSocket(url.replace('http', 'ws'));
        s.onopen = yes; s.onerror = no; })""",
    "frame": """new Promise((yes, no) => { const s = document.createElement('iframe');
        s.src = url; document.body.append(s);
        s.onload = () => s.contentWindow.length === 0 && s.contentDocument === null ? no() : yes();
        setTimeout(no, 3000); })""",
}


@pytest.mark.parametrize("way", TRIES)
def test_another_page_gets_nothing(browser: Browser, serve: Serve, other: str, way: str) -> None:
    served = serve()
    page = browser.new_page()
    page.goto(other)
    got = page.evaluate(f"url => ({TRIES[way]}).then(() => true, () => false)", served.address)
    page.close()
    assert got is False


def test_another_name_for_this_machine_gets_nothing(browser: Browser, serve: Serve) -> None:
    parts = urlsplit(serve().address)
    page = browser.new_page()
    answer = page.goto(f"http://{REBOUND}:{parts.port}{parts.path}")
    page.close()
    assert answer is not None
    assert answer.status == 421


@pytest.mark.parametrize(
    "trick",
    [
        "const s = document.createElement('script'); s.text = 'hit = 1'; document.body.append(s)",
        "document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=\"hit = 1\">')",
        "const a = document.createElement('a'); a.href = 'javascript:hit = 1'; a.click()",
    ],
)
def test_no_script_runs_but_the_pages_own(browser: Browser, serve: Serve, trick: str) -> None:
    page = browser.new_page()
    page.goto(serve().address)
    page.evaluate(f"() => {{ {trick} }}")
    page.wait_for_timeout(200)
    hit = page.evaluate("window.hit === undefined")
    page.close()
    assert hit


def test_the_page_never_reads_markup(open_page: Open) -> None:
    page = open_page()
    for name in page.evaluate("performance.getEntriesByType('resource').map(r => r.name)"):
        if not name.endswith(".js"):
            continue
        text = page.evaluate("url => fetch(url).then(a => a.text())", name)
        for way in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval("):
            assert way not in text, f"{name}: {way}"

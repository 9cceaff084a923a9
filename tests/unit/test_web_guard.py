"""Who may ask what, over plain HTTP: every rule of the page's security, with its breach."""

from __future__ import annotations

import base64
import http.client
import json
import os
import re
import signal
import socket
import stat
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from threading import Thread
from urllib.parse import urlsplit

import pytest

from loftline.cli.commands import demo_text
from loftline.project import DRAWING
from loftline.web import Document, listening, serve
from loftline.web.app import HANDLERS
from loftline.web.guard import MOST_BODY, MOST_DRAWING_BODY


class Asker:
    """Asks one server, with whatever headers a test wants."""

    def __init__(self, address: str) -> None:
        parts = urlsplit(address)
        assert parts.port is not None
        self.port = parts.port
        self.path = parts.path
        self.origin = f"http://127.0.0.1:{self.port}"

    def __call__(
        self,
        method: str,
        path: str,
        *,
        body: bytes | None = None,
        headers: Mapping[str, str | None] | None = None,
    ) -> tuple[int, Mapping[str, str], bytes]:
        """Status, headers and body; a header that is ``None`` is not sent."""
        sent: dict[str, str | None] = {"Host": f"127.0.0.1:{self.port}"}
        if method == "POST":
            body = b"{}" if body is None else body
            sent |= {"Origin": self.origin, "Content-Type": "application/json"}
            sent["Content-Length"] = str(len(body))
        sent |= headers or {}
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in sent.items():
            if value is not None:
                connection.putheader(name, value)
        connection.endheaders(body)
        answer = connection.getresponse()
        found = answer.status, dict(answer.getheaders()), answer.read()
        connection.close()
        return found

    def status(self, method: str, path: str, **settings: Mapping[str, str | None]) -> int:
        """The status alone; ``path`` follows the secret segment."""
        return self(method, self.path + path, headers=settings.get("headers"))[0]


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asker]:
    document = Document.fresh(demo_text(), tmp_path_factory.mktemp("page"))
    with listening(document) as page:
        thread = Thread(target=page.run)
        thread.start()
        yield Asker(page.address)
        page.server.should_exit = True
        thread.join(5)
        assert not thread.is_alive()


def test_the_page_is_served(ask: Asker) -> None:
    assert ask.status("GET", "") == 200


def test_a_plan_is_answered(ask: Asker) -> None:
    assert ask("POST", f"{ask.path}ask/begin")[2][:4] == b"LOFT"


def test_nothing_but_this_machine_is_listened_on(ask: Asker) -> None:
    port = f"{ask.port:04X}"
    lines = [
        line.split()
        for name in ("/proc/net/tcp", "/proc/net/tcp6")
        for line in Path(name).read_text(encoding="ascii").splitlines()[1:]
    ]
    listeners = {local for _, local, _, state, *_ in lines if state == "0A"}
    assert {local for local in listeners if local.endswith(f":{port}")} == {f"0100007F:{port}"}


@pytest.mark.parametrize(
    "host",
    [
        "evil.test",
        "evil.test:{port}",
        "127.0.0.1",
        "127.0.0.1.evil.test:{port}",
        "localhost.:{port}",
        "[::1]:{port}",
        "0.0.0.0:{port}",
    ],
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_host_name_is_not_served(ask: Asker, host: str, method: str) -> None:
    headers = {"Host": host.format(port=ask.port)}
    assert ask.status(method, "" if method == "GET" else "ask/begin", headers=headers) == 421


def test_localhost_is_served_too(ask: Asker) -> None:
    assert ask.status("GET", "", headers={"Host": f"localhost:{ask.port}"}) == 200


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "/"),
        ("GET", "/main.js"),
        ("GET", "/wrong/"),
        ("GET", "/wrong/main.js"),
        ("POST", "/ask/begin"),
        ("POST", "/wrong/ask/begin"),
    ],
)
def test_without_the_secret_there_is_nothing(ask: Asker, method: str, path: str) -> None:
    assert ask(method, path)[0] == 404


def test_the_secret_has_128_bits(ask: Asker) -> None:
    assert len(ask.path.strip("/")) >= 22


@pytest.mark.parametrize(
    "origin",
    [None, "null", "http://evil.test", "https://127.0.0.1:{port}", "http://127.0.0.1:1", ""],
)
def test_only_the_page_itself_may_post(ask: Asker, origin: str | None) -> None:
    headers = {"Origin": None if origin is None else origin.format(port=ask.port)}
    assert ask.status("POST", "ask/begin", headers=headers) == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_what_the_browser_calls_another_site_may_not_post(ask: Asker, site: str) -> None:
    assert ask.status("POST", "ask/begin", headers={"Sec-Fetch-Site": site}) == 403


@pytest.mark.parametrize(
    "kind",
    ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", None],
)
def test_a_form_may_not_post(ask: Asker, kind: str | None) -> None:
    assert ask.status("POST", "ask/begin", headers={"Content-Type": kind}) == 415


@pytest.mark.parametrize("method", ["OPTIONS", "PUT", "DELETE", "PATCH", "HEAD", "TRACE"])
def test_other_methods_are_refused(ask: Asker, method: str) -> None:
    assert ask.status(method, "") == 405


def test_no_other_site_is_let_in(ask: Asker) -> None:
    names = {name.lower() for name in ask("OPTIONS", f"{ask.path}ask/begin")[1]}
    assert not any(name.startswith("access-control") for name in names)


def test_a_body_that_says_it_is_too_long_is_refused(ask: Asker) -> None:
    headers = {"Content-Length": str(MOST_BODY + 1)}
    assert ask.status("POST", "ask/begin", headers=headers) == 413


def test_a_drawing_may_be_longer(ask: Asker) -> None:
    body = json.dumps({"name": "x.svg", "data": "A" * MOST_BODY, "says": "", "fresh": True})
    assert ask("POST", f"{ask.path}ask/drawing", body=body.encode())[0] == 200


def test_a_drawing_may_not_be_without_end(ask: Asker) -> None:
    headers = {"Content-Length": str(MOST_DRAWING_BODY + 1)}
    assert ask.status("POST", "ask/drawing", headers=headers) == 413


def test_a_body_that_is_longer_than_it_says_is_not_read_on(ask: Asker) -> None:
    with socket.create_connection(("127.0.0.1", ask.port), timeout=10) as plain:
        plain.sendall(
            f"POST {ask.path}ask/drawing HTTP/1.1\r\nHost: 127.0.0.1:{ask.port}\r\n"
            f"Origin: {ask.origin}\r\nContent-Type: application/json\r\nConnection: close\r\n"
            "Content-Length: 2\r\n\r\n{}".encode()
            + b" " * 10_000
        )
        assert b" 422 " in plain.recv(100)


@pytest.mark.parametrize("length", [None, "x", "-1", "1e3", "9" * 30])
def test_a_body_of_no_told_length_is_refused(ask: Asker, length: str | None) -> None:
    status = ask.status("POST", "ask/begin", headers={"Content-Length": length})
    assert status in {400, 411, 413}


def test_a_body_in_chunks_is_refused(ask: Asker) -> None:
    with socket.create_connection(("127.0.0.1", ask.port), timeout=10) as plain:
        plain.sendall(
            f"POST {ask.path}ask/begin HTTP/1.1\r\nHost: 127.0.0.1:{ask.port}\r\n"
            f"Origin: {ask.origin}\r\nContent-Type: application/json\r\n"
            "Transfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n".encode()
        )
        assert b" 411 " in plain.recv(100)


def test_headers_without_end_are_refused(ask: Asker) -> None:
    with socket.create_connection(("127.0.0.1", ask.port), timeout=10) as plain:
        try:
            plain.sendall(b"GET / HTTP/1.1\r\nX: " + b"x" * 200_000)
            answer = plain.recv(100)
        except ConnectionError:
            answer = b""
        assert answer == b"" or b" 400 " in answer


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b"{",
        b"\xff",
        b"[" * 100_000,
        b'{"edits": NaN}',
        b'{"edits": [{"op": "set", "path": ["copies"], "value": 1e999}]}',
        b'{"edits": [{"op": "set", "path": ["copies"], "value": Infinity}]}',
        b'{"edits": [{"op": "set", "path": [true], "value": 1}]}',
        b'{"edits": "all"}',
    ],
)
def test_a_body_that_makes_no_sense_is_refused_in_words(ask: Asker, body: bytes) -> None:
    status, _, answer = ask("POST", f"{ask.path}ask/look", body=body)
    assert status == 422
    assert json.loads(answer)["faults"][0]["message"]
    assert b"Traceback" not in answer


def given(ask: Asker, drawing: bytes, **more: object) -> tuple[int, bytes]:
    """Give a drawing as the page does."""
    about = {"name": "x.svg", "data": base64.b64encode(drawing).decode(), "says": "", "unit": ""}
    body = json.dumps({**about, **more}).encode()
    status, _, answer = ask("POST", f"{ask.path}ask/drawing", body=body)
    return status, answer


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"edits": [], "path": ["name"]},
        {"edits": [], "path": ["panel", "file", 0]},
        {"edits": [], "path": ["fills", "0", "motif"]},
        {"edits": "none", "path": ["panel", "file"]},
        {"data": 5},
        {"data": None},
        {"name": ["x.svg"]},
    ],
)
def test_a_drawing_has_its_place(ask: Asker, more: dict[str, object]) -> None:
    assert given(ask, DRAWING.encode(), **more)[0] == 422


ENTITY = b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>'
LAUGHS = b'<!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'


@pytest.mark.parametrize(
    "drawing",
    [
        DRAWING.encode().replace(b"<svg", ENTITY + b"<svg", 1),
        DRAWING.encode().replace(b"<svg", LAUGHS + b"<svg", 1),
        b"<svg" * 900_000,
        b"<g>" * 900_000,
        b"\0" * 4_000_000,
        b"not a drawing at all",
    ],
)
def test_a_hostile_drawing_is_answered_in_words(ask: Asker, drawing: bytes) -> None:
    status, answer = given(ask, drawing, fresh=True)
    assert (status, len(json.loads(answer)["faults"])) == (200, 1)
    assert b"root:" not in answer
    assert b"Traceback" not in answer


def test_a_refused_drawing_leaves_the_bag_as_it_was(ask: Asker) -> None:
    given(ask, b"not a drawing at all", fresh=True)
    answer = ask("POST", f"{ask.path}ask/begin")[2]
    assert b'"undo": null' in answer


def test_a_makers_fault_is_an_answer_in_words(ask: Asker) -> None:
    body = b'{"edits": [{"op": "set", "path": ["panel", "width"], "value": "3 bananas"}]}'
    status, _, answer = ask("POST", f"{ask.path}ask/look", body=body)
    assert (status, json.loads(answer)["faults"][0]["where"]) == (200, "panel.width")


@pytest.mark.parametrize(
    "path",
    [
        "../app.py",
        "..%2fapp.py",
        "%2e%2e/app.py",
        "%2e%2e%2fapp.py",
        "..\\app.py",
        "..%5capp.py",
        "//etc/passwd",
        "static/../../app.py",
        "main.js%00.css",
        "main.js/",
        "./main.js",
        "MAIN.JS",
        "main%2ejs",
    ],
)
def test_no_path_leads_to_another_file(ask: Asker, path: str) -> None:
    assert ask.status("GET", path) in {400, 404}


@pytest.mark.parametrize("path", ["", "main.js", "nothing-here", "../x"])
def test_every_answer_carries_the_browsers_rules(ask: Asker, path: str) -> None:
    headers = {name.lower(): value for name, value in ask("GET", ask.path + path)[1].items()}
    assert headers["content-security-policy"].startswith("default-src 'none';")
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert headers["cross-origin-opener-policy"] == "same-origin"
    assert headers["cache-control"] == "no-store"
    assert "server" not in headers


def test_a_path_from_the_page_names_no_file(ask: Asker) -> None:
    body = b'{"edits": [{"op": "set", "path": ["panel"], "value": {"shape": "file", '
    body += b'"file": "/etc/passwd"}}]}'
    told = json.loads(ask("POST", f"{ask.path}ask/look", body=body)[2])
    assert told["faults"]


@pytest.mark.parametrize("word", ["html", "../dst", "", 5, None])
def test_no_other_kind_of_file_is_made(ask: Asker, word: object) -> None:
    body = json.dumps({"formats": [word]}).encode()
    assert ask("POST", f"{ask.path}ask/files", body=body)[0] == 422


def test_small_answers_are_not_held_back(tmp_path: Path) -> None:
    # an answer in two packets otherwise waits 40 ms until the first is acknowledged; what is
    # accepted inherits the setting (tcp(7))
    with listening(Document.fresh(demo_text(), tmp_path)) as page:
        assert page._listener.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY) != 0


def test_a_plan_that_nobody_waits_for_is_given_up(tmp_path: Path) -> None:
    text = (
        demo_text().replace('pattern = "channel"', 'pattern = "meander"').replace("angle = 45", "")
    )
    with listening(Document.fresh(text, tmp_path)) as page:
        thread = Thread(target=page.run)
        thread.start()
        asker = Asker(page.address)
        body = b"{}"
        head = (
            f"POST {asker.path}ask/begin HTTP/1.1\r\nHost: 127.0.0.1:{asker.port}\r\n"
            f"Origin: {asker.origin}\r\nContent-Type: application/json\r\n"
            f"Content-Length: {len(body)}\r\n\r\n"
        )
        for _ in range(4):
            with socket.create_connection(("127.0.0.1", asker.port), timeout=10) as plain:
                plain.sendall(head.encode() + body)
                time.sleep(0.05)
        asker("POST", f"{asker.path}ask/begin")
        page.server.should_exit = True
        thread.join(5)
    assert (page.planner.given_up, page.planner.done) == (4, 1)


def test_ctrl_c_ends_the_server_at_once(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "loftline", "open", "--no-browser"],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONUNBUFFERED": "1"},
    )
    assert process.stdout is not None
    assert re.search(r"http://127\.0\.0\.1:\d+/\S{22,}/", process.stdout.readline())
    process.send_signal(signal.SIGINT)
    out, _ = process.communicate(timeout=5)
    assert (process.returncode, out.splitlines()[-1]) == (0, "The page is closed.")


def test_the_address_is_no_word_of_a_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # every user of a machine can read the words of running commands
    opened: list[tuple[str, int, str]] = []

    def note(address: str) -> bool:
        path = Path(urlsplit(address).path)
        opened.append((address, path.stat().st_mode, path.read_text(encoding="utf-8")))
        return True

    monkeypatch.setattr("webbrowser.open", note)
    monkeypatch.setattr("loftline.web.Listening.run", lambda _: None)
    told: list[str] = []
    serve(Document.fresh(demo_text(), tmp_path), told.append)
    ((address, mode, text),) = opened
    assert address.startswith("file:")
    assert stat.S_IMODE(mode) == 0o600
    assert told[0] in text
    assert not Path(urlsplit(address).path).exists()


def held(asker: Asker) -> socket.socket:
    """A page that is open: the answer that it holds has begun."""
    plain = socket.create_connection(("127.0.0.1", asker.port), timeout=10)
    plain.sendall(
        f"POST {asker.path}ask/here HTTP/1.1\r\nHost: 127.0.0.1:{asker.port}\r\n"
        f"Origin: {asker.origin}\r\nContent-Type: application/json\r\n"
        "Content-Length: 2\r\n\r\n{}".encode()
    )
    assert b" 200 " in plain.recv(100)
    return plain


def changed(asker: Asker) -> None:
    """Change something, and do not save it."""
    edits = [{"op": "set", "path": ["copies"], "value": 3}]
    asker("POST", f"{asker.path}ask/change", body=json.dumps({"edits": edits}).encode())


def ended(
    tmp_path: Path, *, within: float, unsaved: bool = False, open_still: bool = False
) -> bool:
    """Whether a server whose page was closed a while ago has ended."""
    with listening(Document.fresh(demo_text(), tmp_path), alone_s=0.1) as page:
        thread = Thread(target=page.run)
        thread.start()
        asker = Asker(page.address)
        other = held(asker) if open_still else None
        if unsaved:
            changed(asker)
        held(asker).close()
        thread.join(within)
        found = not thread.is_alive()
        page.server.should_exit = True
        thread.join(5)
        if other is not None:
            other.close()
        assert page.presence.left_alone == found
        return found


def test_a_server_that_no_page_needs_ends(tmp_path: Path) -> None:
    assert ended(tmp_path, within=5)


def test_it_does_not_end_while_another_page_is_open(tmp_path: Path) -> None:
    assert not ended(tmp_path, within=0.5, open_still=True)


def test_it_does_not_end_with_work_that_is_not_saved(tmp_path: Path) -> None:
    assert not ended(tmp_path, within=0.5, unsaved=True)


def test_an_open_page_hears_at_once_that_the_server_ends(tmp_path: Path) -> None:
    with listening(Document.fresh(demo_text(), tmp_path)) as page:
        thread = Thread(target=page.run)
        thread.start()
        with held(Asker(page.address)) as plain:
            page.server.should_exit = True
            plain.settimeout(2)
            told = b""
            while more := plain.recv(1000):
                told += more
        thread.join(5)
    assert told.endswith(b"\r\n\r\n0\r\n\r\n")  # the end of an answer in chunks (RFC 9112, 7.1)


@pytest.mark.parametrize("name", [*HANDLERS, "here"])
def test_no_other_page_may_ask_anything(ask: Asker, name: str) -> None:
    assert ask.status("POST", f"ask/{name}", headers={"Origin": "http://evil.test"}) == 403
    assert ask.status("POST", f"ask/{name}", headers={"Content-Type": "text/plain"}) == 415
    assert ask("POST", f"/wrong/ask/{name}")[0] == 404
    assert ask.status("GET", f"ask/{name}") == 405
    assert ask.status("POST", f"ask/{name}", headers={"Content-Length": "9" * 9}) == 413


def test_a_page_that_shows_an_older_bag_changes_nothing(ask: Asker) -> None:
    edits = [{"op": "remove", "path": ["hardware", 0]}]
    body = json.dumps({"edits": edits, "says": "x", "revision": 99}).encode()
    assert json.loads(ask("POST", f"{ask.path}ask/change", body=body)[2]) == {
        "changed_elsewhere": 0
    }
    assert b'"undo": null' in ask("POST", f"{ask.path}ask/begin")[2]

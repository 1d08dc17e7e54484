"""The server of `build --serve`: to this computer only, pages with a script, and what they are told."""

from __future__ import annotations

import http.client
import json
import socket
import struct
import threading
import urllib.error
import urllib.request
from contextlib import ExitStack, contextmanager

import pytest

from benchlore.live import run
from benchlore.live.server import Live, listen
from tests.books import ROOT

PAGE = "<head><meta content=\"default-src 'none'; connect-src 'none'\"></head><body><p>home</p></body>"


@pytest.fixture
def site(tmp_path):
    (tmp_path / "index.html").write_text(PAGE)
    return tmp_path


@pytest.fixture
def live(site):
    return Live(ROOT / "site_overrides" / "live", site)


@contextmanager
def serving(site, live):
    """The address of a running server, without a slash at its end."""
    with listen(site, live, 0) as server:
        threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True).start()
        yield f"http://127.0.0.1:{server.server_address[1]}"
        server.shutdown()


def test_a_page_is_handed_out_with_what_makes_it_listen(site, live):
    with serving(site, live) as address:
        for path in ("/", "/index.html", "/index.html?x#y"):
            with urllib.request.urlopen(address + path) as answer:
                page = answer.read().decode()
                assert answer.headers["Cache-Control"] == "no-cache"
            assert page.endswith("</head><body><p>home</p></body>")
            assert f'<meta name="benchlore-live" content="{live.site}">' in page
            assert "connect-src 'self'" in page
            assert "connect-src 'none'" not in page
        for name, kind in (("live.js", "text/javascript"), ("live.css", "text/css")):
            assert f"/-live/{name}" in page
            with urllib.request.urlopen(f"{address}/-live/{name}") as answer:
                assert answer.headers["Content-Type"] == f"{kind}; charset=utf-8"
                assert answer.read() == (ROOT / "site_overrides" / "live" / name).read_bytes()
    assert (site / "index.html").read_text() == PAGE  # nothing of it in the site itself


@pytest.mark.parametrize("name", ["other.js", "live.py", "..", "%2e%2e/mkdocs.yml", ""])
def test_nothing_else_lies_beside_the_script(name, site, live):
    with serving(site, live) as address, pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(f"{address}/-live/{name}")
    refused.value.close()
    assert refused.value.code == 404


def test_a_page_that_is_not_there_yet_waits_for_it(site, live):
    with serving(site, live) as address:
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(f"{address}/a%3Cb%3E/none.html")
        page = refused.value.read().decode()
        refused.value.close()
    assert refused.value.code == 404
    assert "/a&lt;b>/none.html" in page
    assert "/-live/live.js" in page


def test_pages_are_told_each_change(site, live):
    finding = {"file": "faults/a.yaml", "message": "so <b>"}
    with serving(site, live) as address, urllib.request.urlopen(f"{address}/-live/events") as events:

        def told():
            line = events.readline().decode()
            assert events.readline() == b"\n"
            return json.loads(line.removeprefix("data: "))

        assert told()["building"]
        live.done(True, [finding], "")
        first = told()
        assert (first["building"], first["stale"], first["findings"]) == (False, False, [finding])
        live.building()
        assert told() == {**first, "building": True}
        live.done(False, [], "no template")
        assert told() == {**first, "stale": True, "findings": [], "trouble": "no template"}
        live.done(True, [], "")
        assert told()["site"] != first["site"]


def test_a_page_may_come_before_its_site(site, live):
    """It comes again only where the site brings another one."""
    (site / "a.html").write_text("<p>old</p>")

    def state(events):
        line = events.readline().decode()
        assert events.readline() == b"\n"
        return json.loads(line.removeprefix("data: "))["site"]

    def page(address):
        with urllib.request.urlopen(f"{address}/a.html") as answer:
            return answer.read().decode()

    with serving(site, live) as address, ExitStack() as open_:
        assert live.open_pages() == []
        events = open_.enter_context(urllib.request.urlopen(f"{address}/-live/events?page=/a.html"))
        other = open_.enter_context(urllib.request.urlopen(f"{address}/-live/events?page=/"))
        first = state(events)
        assert state(other) == first
        assert live.open_pages() == ["a.html", "index.html"]
        for made, written, stays in (
            ("<p>new</p>", "<p>new</p>", True),
            ("<p>newer</p>", "<p>newest</p>", False),
        ):
            live.early("a.html", made.encode())
            early = state(events)
            assert early not in (first, live.site)
            assert state(other) == first  # nothing new for the others
            assert page(address) == made
            (site / "a.html").write_text(written)
            live.done(True, [], "")
            assert (state(events) == early) is stays
            first = state(other)
            assert first == live.site
            assert page(address) == written
        live.early("a.html", b"<p>not good</p>")
        state(events), state(other)
        live.done(False, [], "no template")
        assert state(events) == live.site  # the last good page comes back
        assert page(address) == "<p>newest</p>"


def test_a_page_that_hears_nothing_is_told_so(live):
    known = live.after(None)
    assert live.after(known, 0.01) is known


@pytest.mark.parametrize(
    ("path", "host", "code"),
    [
        ("/", "localhost", 200),
        ("/", "127.0.0.1:8000", 200),
        ("/", "[::1]:8000", 200),
        ("/", "evil.example", 421),
        ("/", "", 421),
        ("/%00", "localhost", 400),
        ("/a%00b?x", "localhost", 400),
        ("/folder/", "localhost", 404),
    ],
)
def test_only_files_are_served_and_only_to_this_computer(path, host, code, site, live):
    (site / "folder").mkdir()
    with listen(site, live, 0) as server:
        threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True).start()
        asked = http.client.HTTPConnection(*server.server_address)
        asked.putrequest("GET", path, skip_host=True)
        asked.putheader("Host", host)
        asked.endheaders()
        assert asked.getresponse().status == code
        assert server.server_address[0] == "127.0.0.1"
        asked.close()
        server.shutdown()


def test_a_browser_that_hangs_up_is_not_mentioned(site, live, capsys):
    (site / "large.txt").write_bytes(b"x" * 10_000_000)
    with listen(site, live, 0) as server:
        threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True).start()
        for _ in range(5):
            with socket.create_connection(("127.0.0.1", server.server_address[1])) as asked:
                asked.sendall(b"GET /large.txt HTTP/1.0\r\nHost: localhost\r\n\r\n")
                asked.recv(10)
                asked.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        server.shutdown()
    assert capsys.readouterr().err == ""


def test_a_taken_port(site, live, monkeypatch):
    """The usual port gives way to any free one; a port that was asked for does not."""
    said: list[str] = []

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(run, "_built_again_and_again", interrupted)
    with listen(site, live, 0) as taken:
        port = taken.server_address[1]
        monkeypatch.setattr(run, "PORT", port)
        assert run.serve(site, site, None, False, said.append) == 0
        assert said[0].startswith("Serving it at http://127.0.0.1:")
        assert f":{port}/" not in said[0]
        assert run.serve(site, site, port, False, said.append) == 1
        assert f"Port {port} cannot be used" in said[-1]

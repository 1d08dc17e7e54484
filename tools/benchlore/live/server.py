"""Hands out a site to this computer, and tells its open pages when there is another one.

A page gets a script, a style sheet and the number of its build while it is handed out. The script listens to
`/-live/events` (server-sent events), which tells what is known now and then each change of it. A page that
somebody looks at may come before its site (`Live.early`).
"""

from __future__ import annotations

import functools
import hashlib
import http.server
import json
import sys
import threading
import time
import urllib.parse
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http import HTTPStatus
from pathlib import Path
from typing import Any

HOME = "/-live/"
_TYPES = {".js": "text/javascript", ".css": "text/css"}
_BREATH = 15.0  # s between two signs of life, without which a browser that has gone would never be noticed
# The site's policy lets no page ask anybody; one that is handed out here asks this server.
_CLOSED, _OPEN = b"connect-src 'none'", b"connect-src 'self'"
_WAITING = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Not there yet – Benchlore</title>
</head><body><main><h1>This page is not in the site</h1>
<p>{reason} This page shows itself as soon as a build has made it. <a href="/">Home</a></p>
</main></body></html>
"""


class Live:
    """What the pages are told: the number of the site, what is wrong with the book, and whether a build runs.

    Safe to use from several threads.
    """

    def __init__(self, assets: Path, site: Path) -> None:
        self.assets = assets  # the script and the style sheet that pages get
        self._folder = site
        self._started = time.time_ns()  # a page of an earlier server finds that its site is another one
        self._sites = 0
        self._open: Counter[str] = Counter()
        self._early: dict[str, bytes] = {}
        self._numbers: dict[str, str] = {}  # of pages that came before their site
        self._change = threading.Condition()
        self._state: Mapping[str, Any] = {"building": True, "findings": [], "trouble": "", "stale": False}

    @property
    def site(self) -> str:
        """The site that is handed out now."""
        return f"{self._started}-{self._sites}"

    def number(self, page: str) -> str:
        """What a page is known by: its site, or how it came before its site."""
        return self._numbers.get(page, self.site)

    @contextmanager
    def watched(self, page: str) -> Iterator[None]:
        """While somebody looks at a page."""
        with self._change:
            self._open[page] += 1
        try:
            yield
        finally:
            with self._change:
                self._open[page] -= 1

    def open_pages(self) -> list[str]:
        """The pages that somebody looks at."""
        with self._change:
            return sorted(page for page, count in self._open.items() if count > 0)

    def early(self, page: str, content: bytes) -> None:
        """A page has come before its site: it is handed out until the build has ended."""
        with self._change:
            self._early[page] = content
            self._numbers[page] = f"{self.site}+{hashlib.sha256(content).hexdigest()[:16]}"
        self._set(self._state)

    def content(self, page: str) -> bytes:
        """What a page holds now. Raises OSError where there is none."""
        early = self._early.get(page)
        return (self._folder / page).read_bytes() if early is None else early

    def building(self) -> None:
        """A build has begun."""
        self._set({**self._state, "building": True})

    def done(self, built: bool, findings: list[dict[str, Any]], trouble: str) -> None:
        """A build has ended; unless it is `built`, the site is still the last one."""
        with self._change:
            if built:
                self._sites += 1
            self._numbers = {
                page: number
                for page, number in self._numbers.items()
                if built and self._in_site(page) == self._early.get(page)
            }
            self._early = {}
        self._set({"building": False, "findings": findings, "trouble": trouble, "stale": not built})

    def _in_site(self, page: str) -> bytes | None:
        try:
            return (self._folder / page).read_bytes()
        except OSError:
            return None

    def _set(self, state: Mapping[str, Any]) -> None:
        with self._change:
            self._state = dict(state)
            self._change.notify_all()

    def after(self, known: Mapping[str, Any] | None, most: float = _BREATH) -> Mapping[str, Any]:
        """The state, once it is another than `known`, or after `most` seconds."""
        with self._change:
            self._change.wait_for(lambda: self._state is not known, most)
            return self._state


def listen(site: Path, live: Live, port: int) -> http.server.ThreadingHTTPServer:
    """A server of the site's files, bound to loopback only. Raises OSError."""
    handler = functools.partial(_Handler, live=live, directory=str(site))
    return _Server(("127.0.0.1", port), handler)


class _Server(http.server.ThreadingHTTPServer):
    """A server that says nothing of browsers that hang up, and lets many ask at once."""

    request_queue_size = 128

    def handle_error(self, request: Any, client_address: Any) -> None:
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)


class _Handler(http.server.SimpleHTTPRequestHandler):
    """Serves files to this computer, and lists no folder; mentions only what went wrong."""

    def __init__(self, *args: Any, live: Live, **kwargs: Any) -> None:
        self._live = live
        super().__init__(*args, **kwargs)

    def do_GET(self) -> None:
        path = urllib.parse.urlsplit(self.path).path
        if self._refused():
            return
        if path == f"{HOME}events":
            self._events()
        elif path.startswith(HOME):
            self._own(path.removeprefix(HOME))
        elif path.endswith((".html", "/")):
            self._page()
        else:
            super().do_GET()

    def do_HEAD(self) -> None:
        if not self._refused():
            super().do_HEAD()

    def _refused(self) -> bool:
        # Under another name, this is a page of somebody else that has its name lead here.
        if self.headers.get("Host", "").rsplit(":", 1)[0] not in ("127.0.0.1", "localhost", "[::1]"):
            self.send_error(HTTPStatus.MISDIRECTED_REQUEST)
            return True
        if "\0" in urllib.parse.unquote(self.path):
            self.send_error(HTTPStatus.BAD_REQUEST)
            return True
        return False

    def _page(self) -> None:
        page = self._named(self.path)
        number = self._live.number(
            page
        )  # before it is read: a page that is newer than its number comes again
        try:
            content = self._live.content(page)
            status = HTTPStatus.OK
        except (OSError, ValueError):
            reason = f"There is no {urllib.parse.unquote(self.path)!a} in it."
            content = _WAITING.format(reason=reason.replace("&", "&amp;").replace("<", "&lt;")).encode()
            status = HTTPStatus.NOT_FOUND
        self._send(status, "text/html; charset=utf-8", with_script(content, number))

    def _named(self, address: str) -> str:
        """The path in the site of the page at an address."""
        path = Path(self.translate_path(address))
        path = path / "index.html" if path.is_dir() else path
        return path.relative_to(self.directory).as_posix()

    def _own(self, name: str) -> None:
        try:
            kind = _TYPES[Path(name).suffix]
            content = (self._live.assets / Path(name).name).read_bytes()
        except (KeyError, OSError):
            self.send_error(HTTPStatus.NOT_FOUND)
        else:
            self._send(HTTPStatus.OK, f"{kind}; charset=utf-8", content)

    def _send(self, status: HTTPStatus, kind: str, content: bytes) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    def _events(self) -> None:
        """What `?page=/petrel-13/x.html`, or a page that does not say where it is, is to know."""
        asked = urllib.parse.parse_qs(urllib.parse.urlsplit(self.path).query).get("page", ["/"])
        page = self._named(urllib.parse.quote(asked[0]))
        with self._live.watched(page):
            self._tell(page)

    def _tell(self, page: str) -> None:
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", "text/event-stream")
        self.end_headers()
        known: Mapping[str, Any] | None = None
        while True:
            state = self._live.after(known)
            said = (
                ": still here\n\n" if state is known else f"data: {json.dumps(self._known(page, state))}\n\n"
            )
            self.wfile.write(said.encode())
            self.wfile.flush()
            known = state

    def _known(self, page: str, state: Mapping[str, Any]) -> Mapping[str, Any]:
        return {**state, "site": self._live.number(page)}

    def list_directory(self, path: Any) -> Any:  # noqa: ARG002
        return self.send_error(HTTPStatus.NOT_FOUND)

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-cache")  # the next build shows at once
        super().end_headers()

    def log_request(self, code: int | str = "-", size: int | str = "-") -> None:
        if str(code)[:1] in "45":
            super().log_request(code, size)


def with_script(content: bytes, site: str) -> bytes:
    """A page with what makes it listen."""
    ours = (
        f'<meta name="benchlore-live" content="{site}">\n'
        f'<link rel="stylesheet" href="{HOME}live.css">\n<script defer src="{HOME}live.js"></script>\n</head>'
    )
    return content.replace(_CLOSED, _OPEN, 1).replace(b"</head>", ours.encode(), 1)

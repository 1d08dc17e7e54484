"""Hands out a site to this computer, and tells its open pages when there is another one.

A page gets a script, a style sheet and the number of its build while it is handed out. The script listens to
`/-live/events` (server-sent events), which tells what is known now and then each change of it.
"""

from __future__ import annotations

import functools
import http.server
import json
import sys
import threading
import time
import urllib.parse
from collections.abc import Mapping
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

    def __init__(self, assets: Path) -> None:
        self.assets = assets  # the script and the style sheet that pages get
        self._started = time.time_ns()  # a page of an earlier server finds that its site is another one
        self._sites = 0
        self._change = threading.Condition()
        self._state: Mapping[str, Any] = {"building": True, "findings": [], "trouble": "", "stale": False}

    @property
    def site(self) -> str:
        """The site that is handed out now."""
        return f"{self._started}-{self._sites}"

    def building(self) -> None:
        """A build has begun."""
        self._set({**self._state, "building": True})

    def done(self, built: bool, findings: list[dict[str, Any]], trouble: str) -> None:
        """A build has ended; unless it is `built`, the site is still the last one."""
        if built:
            self._sites += 1
        self._set({"building": False, "findings": findings, "trouble": trouble, "stale": not built})

    def _set(self, state: Mapping[str, Any]) -> None:
        with self._change:
            self._state = {**state, "site": self.site}
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
        site = self._live.site  # before the file is read: a page that is newer than its number comes again
        path = Path(self.translate_path(self.path))
        try:
            content = (path / "index.html" if path.is_dir() else path).read_bytes()
            status = HTTPStatus.OK
        except (OSError, ValueError):
            reason = f"There is no {urllib.parse.unquote(self.path)!a} in it."
            content = _WAITING.format(reason=reason.replace("&", "&amp;").replace("<", "&lt;")).encode()
            status = HTTPStatus.NOT_FOUND
        self._send(status, "text/html; charset=utf-8", with_script(content, site))

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
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", "text/event-stream")
        self.end_headers()
        known: Mapping[str, Any] | None = None
        while True:
            state = self._live.after(known)
            said = ": still here\n\n" if state is known else f"data: {json.dumps(state)}\n\n"
            self.wfile.write(said.encode())
            self.wfile.flush()
            known = state

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

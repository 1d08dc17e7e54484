"""Build the site: `python3 tools/build.py [--serve]`. Needs nothing but Python 3.11 or newer.

Makes `.venv` when needed, checks the book, builds `site/` and says how to open it.
"""

# An old Python parses the whole file before it gets to the message: no syntax newer than 3.6 in here.
import sys

if sys.version_info < (3, 11):
    sys.exit(f"Benchlore needs Python 3.11 or newer; this is Python {sys.version.split()[0]}.")

import argparse
import errno
import functools
import http.server
import subprocess
import urllib.parse
from http import HTTPStatus
from pathlib import Path
from typing import Any

from bootstrap import ROOT, ensure_venv, finish, say

SITE = ROOT / "site"
PORT = 8000


def main() -> int:
    """Run the command; the result is its exit code."""
    options = parse(sys.argv[1:])
    python = ensure_venv()
    code = build(python, options.strict)
    if code:
        return code
    say(how_to_open(SITE))
    return serve(SITE, options.port) if options.serve else 0


def parse(arguments: list[str]) -> argparse.Namespace:
    """The command line's options."""
    parser = argparse.ArgumentParser(prog="build.py", description="Check the book and build the site.")
    parser.add_argument("--serve", action="store_true", help="then serve the site to this computer")
    parser.add_argument(
        "--port",
        type=port_number,
        help=f"port to serve on (default: {PORT}, or a free one when that is taken)",
    )
    parser.add_argument("--strict", action="store_true", help="warnings stop the build, as errors do")
    return parser.parse_args(arguments)


def port_number(text: str) -> int:
    """A port to listen on, from the command line."""
    if not text.isdecimal() or not 0 < int(text) < 65536:
        raise argparse.ArgumentTypeError(f"{text} is not a port; ports are 1 to 65535")
    return int(text)


def build(python: Path, strict: bool) -> int:
    """Check the book, and publish the site when it has no errors; an exit code."""
    benchlore = [str(python), "-m", "benchlore"]
    check = [*benchlore, "check", "--root", str(ROOT)] + (["--strict"] if strict else [])
    code = subprocess.run(check, cwd=ROOT, check=False).returncode
    if code:
        say("The site was not built; the last good one stays as it is.")
        return code
    publish = [*benchlore, "build", "--root", str(ROOT), "--site-dir", str(SITE)]
    return subprocess.run(publish, cwd=ROOT, check=False).returncode


def how_to_open(site: Path) -> str:
    """Where the built site is, for a file manager and for a browser."""
    home = site / "index.html"
    return f"The site is built. Open it from disk, no network needed:\n  {home}\n  {home.as_uri()}"


def serve(site: Path, port: int | None) -> int:
    """Serve the site on loopback until interrupted. Without a `port`, the usual one or else any free one."""
    try:
        server = listen(site, PORT if port is None else port)
    except OSError as error:
        if port is not None or error.errno != errno.EADDRINUSE:
            say(f"Port {PORT if port is None else port} cannot be used: {error.strerror}.")
            return 1
        server = listen(site, 0)
    with server:
        say(f"Serving it at http://127.0.0.1:{server.server_address[1]}/ (Ctrl+C stops)")
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            say("\nStopped.")
    return 0


def listen(site: Path, port: int) -> http.server.ThreadingHTTPServer:
    """A server of the site's files, bound to loopback only."""
    handler = functools.partial(QuietHandler, directory=str(site))
    return Server(("127.0.0.1", port), handler)


class Server(http.server.ThreadingHTTPServer):
    """A server that says nothing of browsers that hang up, and lets many ask at once."""

    request_queue_size = 128

    def handle_error(self, request: Any, client_address: Any) -> None:
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)


class QuietHandler(http.server.SimpleHTTPRequestHandler):
    """Serves files to this computer, and lists no folder; mentions only what went wrong."""

    def send_head(self) -> Any:
        # Under another name, this is a page of somebody else that has its name lead here.
        if self.headers.get("Host", "").rsplit(":", 1)[0] not in ("127.0.0.1", "localhost", "[::1]"):
            return self.send_error(HTTPStatus.MISDIRECTED_REQUEST)
        if "\0" in urllib.parse.unquote(self.path):
            return self.send_error(HTTPStatus.BAD_REQUEST)
        return super().send_head()

    def list_directory(self, path: Any) -> Any:  # noqa: ARG002
        return self.send_error(HTTPStatus.NOT_FOUND)

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-cache")  # the next build shows at once
        super().end_headers()

    def log_request(self, code: int | str = "-", size: int | str = "-") -> None:
        if str(code)[:1] in "45":
            super().log_request(code, size)


if __name__ == "__main__":
    finish(main)

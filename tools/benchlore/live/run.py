"""Serve the site of a book to this computer and build it anew after each save, until Ctrl+C."""

from __future__ import annotations

import errno
import json
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from http.server import ThreadingHTTPServer
from pathlib import Path
from typing import NoReturn

from benchlore.findings import Finding
from benchlore.live import builder
from benchlore.live.builder import Early, Told
from benchlore.live.server import Live, listen
from benchlore.live.watch import Snapshot, book_and_face, changed, code_places, snapshot
from benchlore.reporters import FORMATS, Report
from benchlore.shipped import face

PORT = 8000


def serve(root: Path, site: Path, port: int | None, strict: bool, say: Callable[[str], None]) -> int:
    """Serve until interrupted; an exit code. Without a `port`, the usual one or else any free one.

    `say` is told what a person at the terminal wants to know, a text a time.
    """
    live = Live(face(root) / "site_overrides" / "live", site)
    try:
        server = _listening(site, live, port)
    except OSError as error:
        say(f"Port {PORT if port is None else port} cannot be used: {error.strerror}.")
        return 1
    with server:
        threading.Thread(target=server.serve_forever, args=(0.1,), daemon=True).start()
        say(f"Serving it at http://127.0.0.1:{server.server_address[1]}/ (Ctrl+C stops)")
        try:
            _built_again_and_again(root, site, strict, live, say)
        except KeyboardInterrupt:
            say("\nStopped.")
            return 0
        finally:
            server.shutdown()


def _listening(site: Path, live: Live, port: int | None) -> ThreadingHTTPServer:
    try:
        return listen(site, live, PORT if port is None else port)
    except OSError as error:
        if port is not None or error.errno != errno.EADDRINUSE:
            raise
        return listen(site, live, 0)


def _built_again_and_again(
    root: Path, site: Path, strict: bool, live: Live, say: Callable[[str], None]
) -> NoReturn:
    """Hear what builders say, one after another, until Ctrl+C."""
    said = ""

    def look() -> Snapshot:
        return snapshot((*book_and_face(root), *code_places()))

    while True:
        command = [sys.executable, "-m", builder.__name__, str(root), str(site)]
        command += ["--strict"] if strict else []
        process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        assert process.stdin is not None
        assert process.stdout is not None
        try:
            for line in process.stdout:
                message = json.loads(line)
                if "page" in message:
                    early: Early = message
                    live.early(early["page"], early["html"].encode())
                    continue
                what: Told = message
                if what["building"]:
                    live.building()
                    with suppress(BrokenPipeError):  # it has ended, which its output tells
                        process.stdin.write(f"{json.dumps(live.open_pages())}\n".encode())
                        process.stdin.flush()
                    continue
                live.done(what["built"], what["findings"], what["trouble"])
                report = in_words(what, strict)
                say(report if report != said else f"built in {what['seconds']:.1f} s, findings as before")
                said = report
        finally:
            process.terminate()
            code = process.wait()
        if code != builder.AGAIN:
            trouble = f"The program that builds the site has ended with {code}; the terminal says why."
            say(trouble)
            live.done(False, [], trouble)
            changed(look, look(), lambda: True)  # whatever it was, a change may mend it


def in_words(what: Told, strict: bool) -> str:
    """What came of a build, for a terminal."""
    findings = tuple(Finding(**one) for one in what["findings"])
    report = FORMATS["text"](Report(findings, what["files"], strict=strict)).rstrip("\n")
    if what["built"]:
        return report
    trouble = f"{what['trouble']}\n" if what["trouble"] else ""
    return f"{report}\n{trouble}The site was not built; the last good one stays as it is."

"""`mkdocs serve` shows the book and follows its records."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request

import pytest

from tests.site.small_book import book


@pytest.fixture
def served(tmp_path):
    root = book(tmp_path / "book", "Wren 5")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        address = f"127.0.0.1:{probe.getsockname()[1]}"
    log = (tmp_path / "log").open("wb")
    command = [sys.executable, "-m", "mkdocs", "serve", "--dev-addr", address]
    with subprocess.Popen(command, cwd=root, stdout=log, stderr=log) as server:
        yield root, f"http://{address}/"
        server.terminate()
    log.close()


def wait_for(url: str, wanted: str) -> str:
    end = time.monotonic() + 60
    text = ""
    while wanted not in text:
        assert time.monotonic() < end, f"no {wanted!r} at {url}"
        time.sleep(0.1)
        try:
            with urllib.request.urlopen(url) as answer:
                text = answer.read().decode()
        except (urllib.error.URLError, ConnectionError):
            text = ""
    return text


def test_pages_follow_their_records(served):
    root, url = served
    text = wait_for(url + "wren-5/index.html", "Wren 5")
    assert "Content-Security-Policy" not in text, "live reload needs an inline script"
    family = root / "faults/wren-5/family.yaml"
    family.write_text(family.read_text("utf-8").replace("title: Wren 5\n", "title: Wren 50\n"), "utf-8")
    wait_for(url + "wren-5/index.html", "Wren 50")

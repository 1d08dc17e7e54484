"""tools/build.py: check, build, say how to open the site, serve it to this computer only."""

from __future__ import annotations

import http.client
import http.server
import socket
import struct
import subprocess
import sys
import threading
import urllib.request
from pathlib import Path

import pytest

import build


@pytest.fixture
def site(tmp_path):
    (tmp_path / "index.html").write_text("<p>home</p>")
    return tmp_path


@pytest.fixture
def commands(monkeypatch):
    """The programs that were run, as their arguments; `codes` are the exit codes they end with."""
    ran: list[list[str]] = []
    codes: list[int] = []

    def run(command: list[str], **kwargs: object) -> subprocess.CompletedProcess[str]:
        ran.append(command[3:])
        return subprocess.CompletedProcess(command, codes.pop(0) if codes else 0)

    monkeypatch.setattr(subprocess, "run", run)
    return ran, codes


def test_the_book_is_checked_and_then_built(commands):
    ran, _ = commands
    assert build.build(Path("python"), strict=False) == 0
    assert [command[0] for command in ran] == ["check", "build"]
    assert "--strict" not in ran[0]


def test_a_book_with_errors_is_not_built(commands, capsys):
    ran, codes = commands
    codes.append(1)
    assert build.build(Path("python"), strict=True) == 1
    assert [command[0] for command in ran] == ["check"]
    assert "--strict" in ran[0]
    assert "last good one stays" in capsys.readouterr().out


def test_a_failed_build_is_not_served(commands, monkeypatch):
    _, codes = commands
    codes += [0, 4]
    monkeypatch.setattr(build, "ensure_venv", lambda: Path("python"))
    monkeypatch.setattr(sys, "argv", ["build.py", "--serve"])
    monkeypatch.setattr(build, "serve", lambda *args: pytest.fail("served"))
    assert build.main() == 4


def test_how_to_open_names_path_and_address(tmp_path):
    said = build.how_to_open(tmp_path / "my site")
    assert f"  {tmp_path}/my site/index.html\n" in said
    assert said.endswith(f"  file://{tmp_path}/my%20site/index.html")


@pytest.mark.parametrize("port", ["0", "65536", "-1", "http", "8e3"])
def test_a_wrong_port_is_refused(port, capsys):
    with pytest.raises(SystemExit):
        build.parse(["--serve", f"--port={port}"])
    assert f"{port} is not a port" in capsys.readouterr().err


def test_serves_the_site_on_loopback_only(site):
    with build.listen(site, 0) as server:
        assert server.server_address[0] == "127.0.0.1"
        threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True).start()
        with urllib.request.urlopen(f"http://127.0.0.1:{server.server_address[1]}/") as answer:
            assert answer.read() == b"<p>home</p>"
            assert answer.headers["Cache-Control"] == "no-cache"
        server.shutdown()


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
def test_only_files_are_served_and_only_to_this_computer(path, host, code, site):
    (site / "folder").mkdir()
    with build.listen(site, 0) as server:
        threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True).start()
        asked = http.client.HTTPConnection(*server.server_address)
        asked.putrequest("GET", path, skip_host=True)
        asked.putheader("Host", host)
        asked.endheaders()
        assert asked.getresponse().status == code
        asked.close()
        server.shutdown()


def test_a_browser_that_hangs_up_is_not_mentioned(site, capsys):
    (site / "large.txt").write_bytes(b"x" * 10_000_000)
    with build.listen(site, 0) as server:
        threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True).start()
        for _ in range(5):
            with socket.create_connection(("127.0.0.1", server.server_address[1])) as asked:
                asked.sendall(b"GET /large.txt HTTP/1.0\r\nHost: localhost\r\n\r\n")
                asked.recv(10)
                asked.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        server.shutdown()
    assert capsys.readouterr().err == ""


def test_a_taken_port(site, monkeypatch, capsys):
    """The usual port gives way to any free one; a port that was asked for does not."""

    def interrupted(self: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(http.server.ThreadingHTTPServer, "serve_forever", interrupted)
    with build.listen(site, 0) as taken:
        port = taken.server_address[1]
        monkeypatch.setattr(build, "PORT", port)
        assert build.serve(site, None) == 0
        said = capsys.readouterr().out
        assert "Serving it at http://127.0.0.1:" in said
        assert f":{port}/" not in said
        assert build.serve(site, port) == 1
        assert f"Port {port} cannot be used" in capsys.readouterr().out

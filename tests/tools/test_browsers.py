"""Browsers are found where each system keeps them, and installed only where that is possible."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

import browsers


@pytest.fixture
def nothing(monkeypatch, tmp_path):
    """A computer without browsers, whose programs are in the folder returned."""
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(browsers, "usual_places", lambda *args: [])
    monkeypatch.delenv("BENCHLORE_CHROMIUM", raising=False)
    monkeypatch.delenv("BENCHLORE_FIREFOX", raising=False)
    return tmp_path


def program(folder: Path, name: str) -> Path:
    path = folder / name
    path.write_text("#!/bin/sh\n")
    path.chmod(0o755)
    return path


@pytest.mark.parametrize("command", browsers.CHROMIUM_COMMANDS)
def test_chromium_is_found_on_the_path(nothing, command):
    assert browsers.find("chromium") is None
    path = program(nothing, command)
    assert browsers.find("chromium") == path
    assert browsers.find("firefox") is None


def test_a_named_program_comes_first(nothing, monkeypatch):
    program(nothing, "firefox")
    monkeypatch.setenv("BENCHLORE_FIREFOX", "/opt/mine/firefox")
    assert browsers.find("firefox") == Path("/opt/mine/firefox")


def test_usual_places():
    windows = {"PROGRAMFILES": r"C:\Program Files", "LOCALAPPDATA": r"C:\Users\x\AppData\Local"}
    found = [str(place) for place in browsers.usual_places("chromium", "win32", windows)]
    assert r"C:\Program Files\Google\Chrome\Application\chrome.exe" in found
    assert r"C:\Users\x\AppData\Local\Chromium\Application\chrome.exe" in found
    assert r"C:\Program Files\Microsoft\Edge\Application\msedge.exe" in found
    assert str(browsers.usual_places("firefox", "win32", windows)[0]) == (
        r"C:\Program Files\Mozilla Firefox\firefox.exe"
    )
    mac = [str(place) for place in browsers.usual_places("chromium", "darwin", {"HOME": "/Users/x"})]
    assert "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome" in mac
    assert "/Users/x/Applications/Chromium.app/Contents/MacOS/Chromium" in mac
    assert str(browsers.usual_places("firefox", "darwin", {})[0]) == (
        "/Applications/Firefox.app/Contents/MacOS/firefox"
    )
    assert browsers.usual_places("chromium", "linux", {}) == []


def test_an_installed_browser_installs_nothing(nothing, monkeypatch):
    program(nothing, "chromium")
    monkeypatch.setattr(browsers, "apt_install", lambda package: pytest.fail("installed"))
    assert browsers.ensure("chromium", Path("python")) is None


@pytest.mark.parametrize(("browser", "package"), [("chromium", "chromium"), ("firefox", "firefox-esr")])
def test_root_on_debian_gets_the_package(nothing, monkeypatch, browser, package):
    monkeypatch.setattr(browsers, "can_use_apt", lambda: True)
    monkeypatch.setattr(browsers, "apt_install", lambda name: program(nothing, name))
    assert browsers.ensure(browser, Path("python")) is None
    assert browsers.find(browser) == nothing / package


@pytest.mark.parametrize(("code", "missing"), [(0, False), (1, True)])
def test_others_get_the_chromium_of_playwright(nothing, monkeypatch, code, missing):
    ran = []

    def run(command: list[str], **kwargs: object) -> subprocess.CompletedProcess[str]:
        ran.append(command)
        return subprocess.CompletedProcess(command, code)

    monkeypatch.setattr(browsers, "can_use_apt", lambda: False)
    monkeypatch.setattr(subprocess, "run", run)
    trouble = browsers.ensure("chromium", Path("python"))
    assert ran == [["python", "-m", "playwright", "install", "chromium"]]
    assert (trouble is not None) is missing
    if trouble:
        assert "Install Chromium, Chrome or Edge" in trouble


def test_a_missing_firefox_is_said(nothing, monkeypatch):
    monkeypatch.setattr(browsers, "can_use_apt", lambda: False)
    assert "Install Firefox" in str(browsers.ensure("firefox", Path("python")))

"""Find the browsers that the tests drive, and install them where that can be done. Standard library only."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path, PurePath, PurePosixPath, PureWindowsPath

from bootstrap import say

CHROMIUM_COMMANDS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "microsoft-edge",
    "msedge",
)
FIREFOX_COMMANDS = ("firefox-esr", "firefox")

_MAC_CHROMIUM = ("Chromium", "Google Chrome", "Microsoft Edge")
_WINDOWS_CHROMIUM = (
    r"Google\Chrome\Application\chrome.exe",
    r"Chromium\Application\chrome.exe",
    r"Microsoft\Edge\Application\msedge.exe",
)
_WINDOWS_FOLDERS = ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA")

DEBIAN_PACKAGES = {"chromium": "chromium", "firefox": "firefox-esr"}
HOW_TO_GET = {
    "chromium": "Install Chromium, Chrome or Edge, or set BENCHLORE_CHROMIUM to its program.",
    "firefox": "Install Firefox, or set BENCHLORE_FIREFOX to its program.",
}


def find(browser: str) -> Path | None:
    """The program of an installed `chromium` (Chromium, Chrome or Edge) or `firefox`, or None."""
    if named := os.environ.get(f"BENCHLORE_{browser.upper()}"):
        return Path(named)
    commands = CHROMIUM_COMMANDS if browser == "chromium" else FIREFOX_COMMANDS
    for command in commands:
        if found := shutil.which(command):
            return Path(found)
    for place in usual_places(browser, sys.platform, os.environ):
        if Path(place).is_file():
            return Path(place)
    return None


def missing(browser: str) -> str:
    """What to say where there is no such browser: the fact and the mend."""
    return f"No {browser} was found. {HOW_TO_GET[browser]}"


def usual_places(browser: str, platform: str, environment: Mapping[str, str]) -> list[PurePath]:
    """Where installers put a browser's program when it is not on the PATH."""
    if platform == "darwin":
        names = _MAC_CHROMIUM if browser == "chromium" else ("Firefox",)
        roots = [PurePosixPath("/Applications")]
        if home := environment.get("HOME"):
            roots.append(PurePosixPath(home) / "Applications")
        program = {"Firefox": "firefox"}
        return [
            root / f"{name}.app" / "Contents" / "MacOS" / program.get(name, name)
            for name in names
            for root in roots
        ]
    if platform == "win32":
        tails = _WINDOWS_CHROMIUM if browser == "chromium" else (r"Mozilla Firefox\firefox.exe",)
        folders = [environment[name] for name in _WINDOWS_FOLDERS if environment.get(name)]
        return [PureWindowsPath(folder) / tail for tail in tails for folder in folders]
    return []


def ensure(browser: str, python: Path) -> str | None:
    """Make sure that a browser is there, installing it where possible; None, or what is missing and the mend.

    `python` is that of the project's environment, whose Playwright can fetch a Chromium of its own.
    """
    if find(browser):
        return None
    if can_use_apt():
        say(f"No {browser} here; installing Debian's package ...")
        apt_install(DEBIAN_PACKAGES[browser])
        if find(browser):
            return None
    if browser == "chromium":
        say("No Chromium, Chrome or Edge here; asking Playwright for its own ...")
        command = [str(python), "-m", "playwright", "install", "chromium"]
        if subprocess.run(command, check=False).returncode == 0:
            return None
    return missing(browser)


def can_use_apt() -> bool:
    """Whether this is root on a system with Debian's package tools."""
    return sys.platform == "linux" and os.geteuid() == 0 and shutil.which("apt-get") is not None


def apt_install(package: str) -> None:
    """Install a Debian package; apt-get's words are shown; whether it worked is for the caller to see."""
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    subprocess.run(["apt-get", "update", "-q"], env=environment, check=False)
    install = ["apt-get", "install", "-y", "-q", "--no-install-recommends", package]
    subprocess.run(install, env=environment, check=False)

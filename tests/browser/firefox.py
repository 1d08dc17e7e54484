"""An installed Firefox, driven by the protocol that it ships with (WebDriver BiDi).

Playwright drives only a Firefox of its own making; readers have the one from their system.
"""

from __future__ import annotations

import base64
import json
import os
import re
import shutil
import signal
import subprocess
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.browser.bidi import BidiError, Connection
from tests.browser.checks import Watch

TIMEOUT = 20.0
START = 120.0  # what a first start may take on a machine that does much else
_POLL = 0.02

# Nothing asks the network by itself, and whatever a page asks outside fails at once.
PREFERENCES: dict[str, str | int | bool] = {
    "app.normandy.enabled": False,
    "app.update.auto": False,
    "app.update.disabledForTesting": True,
    "browser.aboutwelcome.enabled": False,
    "browser.dom.window.dump.enabled": False,
    # Files are saved without a question, into the folder that `Firefox.start` names.
    "browser.download.alwaysOpenPanel": False,
    "browser.download.always_ask_before_handling_new_types": False,
    "browser.download.folderList": 2,
    "browser.download.useDownloadDir": True,
    "browser.newtabpage.enabled": False,
    "browser.region.network.url": "",
    "browser.safebrowsing.downloads.enabled": False,
    "browser.safebrowsing.malware.enabled": False,
    "browser.safebrowsing.phishing.enabled": False,
    "browser.search.update": False,
    "browser.shell.checkDefaultBrowser": False,
    "browser.startup.homepage": "about:blank",
    "browser.startup.page": 0,
    "datareporting.healthreport.uploadEnabled": False,
    "datareporting.policy.dataSubmissionEnabled": False,
    "extensions.getAddons.cache.enabled": False,
    "extensions.update.enabled": False,
    "fission.webContentIsolationStrategy": 0,
    "media.gmp-manager.updateEnabled": False,
    "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False,
    "network.proxy.http": "127.0.0.1",
    "network.proxy.http_port": 9,
    "network.proxy.no_proxies_on": "127.0.0.1, localhost",
    "network.proxy.ssl": "127.0.0.1",
    "network.proxy.ssl_port": 9,
    "network.proxy.type": 1,
    "remote.log.level": "Error",
    "services.settings.server": "http://127.0.0.1:9/",
    "signon.autofillForms": False,
    "toolkit.telemetry.enabled": False,
    "toolkit.telemetry.server": "",
}

# WebDriver, section 17.4.2: code points of the keys that type no character.
KEYS = {
    "Backspace": "\ue003",
    "Tab": "\ue004",
    "Enter": "\ue006",
    "Shift": "\ue008",
    "Control": "\ue009",
    "Alt": "\ue00a",
    "Escape": "\ue00c",
    "Space": " ",
    "PageUp": "\ue00e",
    "PageDown": "\ue00f",
    "End": "\ue010",
    "Home": "\ue011",
    "ArrowLeft": "\ue012",
    "ArrowUp": "\ue013",
    "ArrowRight": "\ue014",
    "ArrowDown": "\ue015",
    "Delete": "\ue017",
    "F1": "\ue031",
    "Meta": "\ue03d",
}


class FirefoxError(Exception):
    """The page raised an error, or something did not come about in time."""


class Firefox:
    """A Firefox process on a profile folder. `downloads` is where it saves files, without asking."""

    def __init__(self, program: Path, profile: Path) -> None:
        self._program = program
        self._profile = profile
        self.downloads = profile.with_name(profile.name + "-downloads")
        self._process: subprocess.Popen[bytes] | None = None
        self._connection: Connection | None = None

    @property
    def connection(self) -> Connection:
        """The session with the running browser."""
        assert self._connection is not None, "Firefox is not running"
        return self._connection

    def start(self) -> None:
        """Start the browser on its profile, as a reader finds it: with whatever the profile holds."""
        self._profile.mkdir(parents=True, exist_ok=True)
        self.downloads.mkdir(exist_ok=True)
        preferences = {**PREFERENCES, "browser.download.dir": str(self.downloads)}
        lines = "".join(f'user_pref("{k}", {json.dumps(v)});\n' for k, v in preferences.items())
        (self._profile / "user.js").write_text(lines, encoding="utf-8")
        log = self._profile / "firefox.log"
        with log.open("wb") as output:
            command = [str(self._program), "--headless", "--no-remote", "--remote-debugging-port", "0"]
            environment = {**os.environ, "MOZ_CRASHREPORTER_DISABLE": "1"}
            self._process = subprocess.Popen(
                [*command, "--profile", str(self._profile)],
                stdout=output,
                stderr=output,
                env=environment,
                start_new_session=True,  # what `rest` stops
            )
        try:
            self._connection = Connection(_address(self._process, log) + "/session")
            self.connection.command("session.new", START, capabilities={})
            events = ["log.entryAdded", "network.beforeRequestSent"]
            self.connection.command("session.subscribe", events=events)
        except BaseException:
            self._process.kill()
            self._process.wait()
            raise

    def close(self) -> None:
        """Quit as a reader does, so that the profile is written."""
        if self._process is None:
            return
        self.wake()
        try:
            self.connection.command("browser.close")
            self.connection.close()
            self._process.wait(TIMEOUT)
        finally:
            self._process.kill()
            self._process.wait()
            self._process = self._connection = None

    def rest(self) -> None:
        """Stop all of its processes until it is wanted: idle, they take a twentieth of a core."""
        self._signal("SIGSTOP")

    def wake(self) -> None:
        """Go on after `rest`."""
        self._signal("SIGCONT")

    def _signal(self, name: str) -> None:
        if self._process and hasattr(os, "killpg"):
            os.killpg(self._process.pid, getattr(signal, name))

    def saved(self) -> set[Path]:
        """The files in `downloads` that are there whole.

        Firefox puts an empty file in place, fills another one beside it, and renames that. (Only versions
        after 140 report the end of a download.)
        """
        return {file for file in self.downloads.iterdir() if file.suffix != ".part" and file.stat().st_size}

    def remove(self) -> None:
        """Delete the profile and the downloads of a closed browser."""
        for folder in (self._profile, self.downloads):
            shutil.rmtree(folder, ignore_errors=True)  # the run's temporary folder goes later anyway


def _address(process: subprocess.Popen[bytes], log: Path) -> str:
    end = time.monotonic() + START
    while time.monotonic() < end and process.poll() is None:
        if found := re.search(r"WebDriver BiDi listening on (ws://\S+)", log.read_text(errors="replace")):
            return found[1]
        time.sleep(_POLL)
    raise FirefoxError(f"Firefox did not start:\n{log.read_text(errors='replace')}")


class FirefoxPage:
    """A tab. Stores of an `isolated` page are its own and go with it; others are those of the profile.

    Expressions are JavaScript expressions, or functions as text that take the argument given.
    """

    def __init__(self, firefox: Firefox, *, isolated: bool, beside: FirefoxPage | None = None) -> None:
        """`beside`: an isolated page that still stands, whose stores the new one shares."""
        self.firefox = firefox
        self.watch: Watch = beside.watch if beside else Watch()
        self._user_context: str = beside._user_context if beside else ""
        self._isolated = isolated
        self._beside = beside
        self._old = firefox.saved()
        self._open()

    def _open(self) -> None:
        self._command = self.firefox.connection.command
        where: dict[str, Any] = {}
        if self._beside:
            where["userContext"] = self._user_context
        elif self._isolated:
            self._user_context = self._command("browser.createUserContext")["userContext"]
            where["userContext"] = self._user_context
        self._context = self._command("browsingContext.create", type="tab", **where)["context"]
        self._collect(drop=self._beside is None)
        self.set_viewport(1280, 800)

    def close(self) -> None:
        """Close the tab and, with it, an isolated page's stores."""
        self.goto("about:blank")  # what the last page still had under way is reported by then
        self._collect()
        if self._isolated and not self._beside:
            self._command("browser.removeUserContext", userContext=self._user_context)
        else:
            self._command("browsingContext.close", context=self._context)

    def reopen(self) -> None:
        """Quit Firefox and start it again on the same profile, with an empty tab. Not for isolated pages."""
        assert not self._isolated, "an isolated page keeps nothing over a restart; use firefox_profile_page"
        self._collect()
        self.firefox.close()
        self.firefox.start()
        self._open()

    def window(self) -> FirefoxPage:
        """One more page on the stores of this one; it goes with this one."""
        return FirefoxPage(self.firefox, isolated=True, beside=self)

    def add_init_script(self, script: str) -> None:
        """Run a script in every page and frame of this tab before any of its own."""
        function = "() => {" + script + "}"
        self._command("script.addPreloadScript", functionDeclaration=function, contexts=[self._context])

    @property
    def url(self) -> str:
        """The address of the page."""
        return str(self.evaluate("location.href"))

    def goto(self, url: str) -> None:
        """Open an address and wait until it has loaded."""
        self._command("browsingContext.navigate", context=self._context, url=url, wait="complete")

    def reload(self) -> None:
        """Load the page again."""
        self._command("browsingContext.reload", context=self._context, wait="complete")

    def back(self) -> None:
        """Go one step back in the history and wait until that page has loaded."""
        self._command("browsingContext.traverseHistory", context=self._context, delta=-1)
        self.wait_for("document.readyState === 'complete'")

    def evaluate(self, expression: str, arg: Any = None, /) -> Any:
        """The JSON value of an expression, or of a function called with `arg`; promises are awaited."""
        function = (
            "async text => { const arg = JSON.parse(text); let value = (" + expression + "\n);"
            " if (typeof value === 'function') value = value(arg);"
            " value = await value; return value === undefined ? 'null' : JSON.stringify(value) ?? 'null'; }"
        )
        return json.loads(self._call(function, {"type": "string", "value": json.dumps(arg)})["value"])

    def _call(self, function: str, *arguments: Any) -> dict[str, Any]:
        answer = self._command(
            "script.callFunction",
            functionDeclaration=function,
            arguments=arguments,
            target={"context": self._context},
            awaitPromise=True,
            userActivation=True,
        )
        if answer["type"] == "exception":
            raise FirefoxError(answer["exceptionDetails"]["text"])
        result: dict[str, Any] = answer["result"]
        return result

    def wait_for(self, condition: str, arg: Any = None, /, timeout: float = TIMEOUT) -> Any:
        """Wait until an expression or function is truthy, over page loads too; its value."""
        end = time.monotonic() + timeout
        while True:
            try:
                if value := self.evaluate(condition, arg):
                    return value
                trouble = "it stayed false"
            except (BidiError, FirefoxError) as error:  # the page is changing, or not ready for the question
                trouble = str(error)
            if time.monotonic() > end:
                raise FirefoxError(f"waited {timeout} s in vain at {self.url} for {condition}: {trouble}")
            time.sleep(_POLL)

    def text(self, selector: str) -> str:
        """The visible text of the first element, once there is one."""
        return str(
            self.wait_for(
                "s => { const e = document.querySelector(s); return e && [e.innerText.trim()]; }", selector
            )[0]
        )

    def texts(self, selector: str) -> list[str]:
        """The visible texts of all elements, as they are now."""
        return list(
            self.evaluate("s => [...document.querySelectorAll(s)].map(e => e.innerText.trim())", selector)
        )

    def click(self, selector: str, timeout: float = TIMEOUT) -> None:
        """Click the middle of the first element, once it is there and nothing covers it."""
        end = time.monotonic() + timeout
        self.wait_for(
            """selector => {
                const element = document.querySelector(selector);
                if (!element) throw new Error('there is no ' + selector);
                element.scrollIntoView({block: 'center', inline: 'center', behavior: 'instant'});
                const box = element.getBoundingClientRect();
                if (!box.width || !box.height) throw new Error(selector + ' is not visible');
                const hit = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
                if (hit !== element && !element.contains(hit) && !hit?.closest('label')?.contains(element))
                    throw new Error(selector + ' is covered by ' + hit?.outerHTML.slice(0, 80));
                return true;
            }""",
            selector,
            timeout=timeout,
        )
        move = {
            "type": "pointerMove",
            "x": 0,
            "y": 0,
            "origin": {"type": "element", "element": self._node(selector)},
        }
        press, release = ({"type": f"pointer{way}", "button": 0} for way in ("Down", "Up"))
        try:
            self._perform({"type": "pointer", "id": "mouse", "actions": [move, press, release]})
        except BidiError as error:
            # A key that was pressed just before may still scroll the page, smoothly, away again.
            if "out of bounds" not in str(error) or time.monotonic() > end:
                raise
            self.click(selector, end - time.monotonic())

    def press(self, keys: str) -> None:
        """Press a key, or several at once: `Enter`, `ArrowDown`, `/`, `Control+z`."""
        names = keys.split("+") if len(keys) > 1 else [keys]
        values = [KEYS.get(name, name) for name in names]
        downs = [{"type": "keyDown", "value": value} for value in values]
        ups = [{"type": "keyUp", "value": value} for value in reversed(values)]
        self._perform({"type": "key", "id": "keyboard", "actions": downs + ups})

    def type(self, text: str) -> None:
        """Type into whatever has the focus."""
        strokes = [{"type": kind, "value": letter} for letter in text for kind in ("keyDown", "keyUp")]
        self._perform({"type": "key", "id": "keyboard", "actions": strokes})

    def set_files(self, selector: str, paths: Sequence[Path]) -> None:
        """Choose files in an `<input type=file>`."""
        files = [str(path) for path in paths]
        self._command("input.setFiles", context=self._context, element=self._node(selector), files=files)

    def download(self) -> Path:
        """The next file that the page saves, once it is there whole."""
        end = time.monotonic() + TIMEOUT
        while not (fresh := self.firefox.saved() - self._old):
            if time.monotonic() > end:
                raise FirefoxError(f"nothing was saved at {self.url}")
            time.sleep(_POLL)
        self._old |= fresh
        [file] = fresh
        return file

    def set_viewport(self, width: int, height: int) -> None:
        """The size of the page's window in CSS pixels."""
        self._command(
            "browsingContext.setViewport", context=self._context, viewport={"width": width, "height": height}
        )

    def screenshot(self, path: Path) -> None:
        """Save the whole page as a PNG."""
        data = self._command("browsingContext.captureScreenshot", context=self._context, origin="document")[
            "data"
        ]
        path.write_bytes(base64.b64decode(data))

    def pdf(self, path: Path) -> None:
        """Print the page on A4."""
        page = {"width": 21.0, "height": 29.7}  # centimetres
        path.write_bytes(
            base64.b64decode(self._command("browsingContext.print", context=self._context, page=page)["data"])
        )

    def seen(self) -> Watch:
        """What the page did up to now."""
        self._collect()
        return self.watch

    def _collect(self, *, drop: bool = False) -> None:
        self._command("session.status")  # everything reported before its answer has then arrived
        events = self.firefox.connection.events
        if not drop:
            for event in events:
                params = event["params"]
                if event["method"] == "network.beforeRequestSent":
                    self.watch.requests.append(params["request"]["url"])
                elif params["level"] == "error":
                    self.watch.errors.append(str(params["text"]))
        events.clear()

    def _node(self, selector: str) -> dict[str, Any]:
        nodes = self._command(
            "browsingContext.locateNodes", context=self._context, locator={"type": "css", "value": selector}
        )["nodes"]
        return {"sharedId": nodes[0]["sharedId"]}

    def _perform(self, source: dict[str, Any]) -> None:
        self._command("input.performActions", context=self._context, actions=[source])

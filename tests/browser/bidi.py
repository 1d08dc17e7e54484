"""A small client of WebDriver BiDi (W3C Working Draft), which an installed Firefox speaks by itself."""

from __future__ import annotations

import itertools
import json
import time
from contextlib import ExitStack
from typing import Any

from websockets.sync.client import connect

TIMEOUT = 30.0


class BidiError(Exception):
    """The browser refused a command."""


class Connection:
    """One session. `events` collects what the browser reports, as dicts with `method` and `params`."""

    def __init__(self, url: str) -> None:
        self._open = ExitStack()
        options = {"max_size": None, "max_queue": None, "ping_interval": None, "proxy": None}
        self._socket = self._open.enter_context(connect(url, compression=None, **options))
        self._ids = itertools.count(1)
        self.events: list[dict[str, Any]] = []

    def close(self) -> None:
        """Leave the browser; it goes on running."""
        self._open.close()

    def command(self, method: str, timeout: float = TIMEOUT, **params: Any) -> dict[str, Any]:
        """Send a command and wait for its result. Raises BidiError or TimeoutError (seconds)."""
        number = next(self._ids)
        self._socket.send(json.dumps({"id": number, "method": method, "params": params}))
        end = time.monotonic() + timeout
        while True:
            message = json.loads(self._socket.recv(timeout=max(0.0, end - time.monotonic())))
            if message["type"] == "event":
                self.events.append(message)
            elif message.get("id") == number:
                if message["type"] == "error":
                    raise BidiError(f"{method}: {message['error']}: {message['message']}")
                result: dict[str, Any] = message["result"]
                return result

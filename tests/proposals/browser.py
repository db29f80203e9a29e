"""A browser without a window, driven over its own debugging line, so that a page can be asked what a reader would meet."""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
import tempfile
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from websockets.sync.client import ClientConnection, connect

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
WAIT = 60.0  # s


def needs_browser() -> None:
    """Pass over a test where there is no browser, but never where everything is to be checked."""
    if BROWSER is None and not os.environ.get("CI"):
        pytest.skip("no chromium here; on Debian: apt-get install chromium")
    assert BROWSER is not None, "chromium is missing"


class Page:
    """An open page: what it asked for, what it complained of, and what can be read off it."""

    def __init__(self, line: ClientConnection) -> None:
        self.line, self.number = line, 0
        self.events: list[Mapping[str, Any]] = []

    def call(self, method: str, **words: Any) -> Any:
        self.number += 1
        self.line.send(json.dumps({"id": self.number, "method": method, "params": words}))
        while True:
            said = json.loads(self.line.recv(timeout=WAIT))
            if said.get("id") == self.number:
                assert "error" not in said, said["error"]
                return said["result"]
            self.events.append(said)

    def open(self, path: Path, width: int, height: int, *, is_phone: bool = False) -> None:
        for room in ("Page", "Runtime", "Network", "Log"):
            self.call(f"{room}.enable")
        self.size(width, height, is_phone=is_phone)
        self.call("Page.navigate", url=path.as_uri())
        while not any(event["method"] == "Page.loadEventFired" for event in self.events):
            self.events.append(json.loads(self.line.recv(timeout=WAIT)))

    def size(self, width: int, height: int, *, is_phone: bool = False) -> None:
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=is_phone,
        )

    def ask(self, expression: str) -> Any:
        """Evaluate an expression, or the promise it gives, in the page."""
        said = self.call(
            "Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True
        )
        assert "exceptionDetails" not in said, said["exceptionDetails"]
        return said["result"].get("value")

    def press(self, key: str, code: int) -> None:
        for kind in ("keyDown", "keyUp"):
            self.call(
                "Input.dispatchKeyEvent",
                type=kind,
                key=key,
                code=key,
                windowsVirtualKeyCode=code,
            )

    def picture(self) -> bytes:
        return base64.b64decode(self.call("Page.captureScreenshot", format="png")["data"])

    def printed(self) -> bytes:
        said = self.call("Page.printToPDF", printBackground=True, preferCSSPageSize=True)
        return base64.b64decode(said["data"])

    def asked_for(self) -> list[str]:
        """Addresses that the page made the browser ask for, its own file apart."""
        return [
            event["params"]["request"]["url"]
            for event in self.events
            if event["method"] == "Network.requestWillBeSent"
            and not event["params"]["request"]["url"].startswith(("data:", "file:"))
        ]

    def complaints(self) -> list[Any]:
        """Give errors and warnings of the console, refusals of the page's own guard among them."""
        return [
            event["params"]
            for event in self.events
            if event["method"] == "Runtime.exceptionThrown"
            or (
                event["method"] == "Log.entryAdded"
                and event["params"]["entry"]["level"] in ("error", "warning")
            )
            or (
                event["method"] == "Runtime.consoleAPICalled"
                and event["params"]["type"] in ("error", "warning")
            )
        ]


@contextmanager
def opened(
    path: Path,
    width: int = 1366,
    height: int = 900,
    *,
    is_still: bool = True,
    is_phone: bool = False,
) -> Iterator[Page]:
    """Open a file by its path, as a double click does; ``is_still``: the reader prefers that nothing moves."""
    assert BROWSER is not None
    words = [BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run"]
    words += ["--disable-background-networking", "--remote-debugging-port=0"]
    words += ["--force-prefers-reduced-motion"] if is_still else []
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        browser = subprocess.Popen(
            [*words, f"--user-data-dir={folder}", "about:blank"],
            stderr=subprocess.PIPE,
            text=True,
        )
        try:
            assert browser.stderr is not None
            address = next(
                line.split()[-1] for line in browser.stderr if "DevTools listening on" in line
            )
            place = address.removeprefix("ws://").partition("/")[0]
            with urllib.request.urlopen(f"http://{place}/json") as tabs:
                tab = next(tab for tab in json.load(tabs) if tab["type"] == "page")
            with connect(tab["webSocketDebuggerUrl"], max_size=None) as line:
                page = Page(line)
                page.open(path, width, height, is_phone=is_phone)
                yield page
        finally:
            browser.terminate()
            browser.wait(WAIT)
            browser.stderr.close()

"""A browser to test pages in: headless Chromium, driven over a pipe by its DevTools protocol.

Only the standard library. The protocol: messages in JSON, each ended by a zero byte,
to file descriptor 3 and from 4 of a Chromium started with --remote-debugging-pipe.
"""

from __future__ import annotations

import base64
import json
import os
import selectors
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = (
    "--headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --mute-audio --hide-scrollbars "
    "--remote-debugging-pipe"
)
PATIENCE_S = 60

ONTO_3_AND_4 = """
import os, sys
reads, writes = (os.dup(int(one)) for one in sys.argv[1:3])
reads, writes = os.dup2(reads, 103), os.dup2(writes, 104)
os.dup2(reads, 3)
os.dup2(writes, 4)
os.execv(sys.argv[3], sys.argv[3:])
"""
"""A shell can name descriptors below 10 only, so a small program puts the pipes in place."""


class Browser:
    """A running Chromium with one page. Close it, or use it in a `with`."""

    def __init__(self) -> None:
        assert CHROMIUM, "chromium is not installed"
        self._home = tempfile.TemporaryDirectory(prefix="wirepath-browser-")
        to_child, self._out = os.pipe()
        self._in, from_child = os.pipe()
        command = [sys.executable, "-c", ONTO_3_AND_4, str(to_child), str(from_child)]
        command += [CHROMIUM, *FLAGS.split(), f"--user-data-dir={self._home.name}/profile"]
        self._process = subprocess.Popen(
            [*command, "about:blank"],
            pass_fds=(to_child, from_child),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_child)
        os.close(from_child)
        self._ready = selectors.DefaultSelector()
        self._ready.register(self._in, selectors.EVENT_READ)
        self._rest = b""
        self._count = 0
        self.events: list[dict[str, Any]] = []
        target = self.ask("Target.createTarget", {"url": "about:blank"}, None)["targetId"]
        self.session = self.ask(
            "Target.attachToTarget", {"targetId": target, "flatten": True}, None
        )["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.ask(f"{domain}.enable")

    def __enter__(self) -> Browser:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """End Chromium and remove its profile."""
        os.close(self._out)
        self._process.terminate()
        self._process.wait(timeout=20)
        os.close(self._in)
        # Its last children may still be writing: what is left behind lies in /tmp.
        shutil.rmtree(self._home.name, ignore_errors=True)
        self._home.cleanup()

    def ask(self, method: str, params: dict[str, Any] | None = None, session: str | None = "page"):
        """Send a command, wait for its answer; events that come between are kept."""
        self._count += 1
        message: dict[str, Any] = {"id": self._count, "method": method, "params": params or {}}
        if session == "page":
            message["sessionId"] = self.session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._read()
            if answer.get("id") == self._count:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']['message']}")
                return answer["result"]
            self.events.append(answer)

    def _read(self) -> dict[str, Any]:
        until = time.monotonic() + PATIENCE_S
        while b"\0" not in self._rest:
            if not self._ready.select(timeout=until - time.monotonic()):
                raise TimeoutError("chromium gives no answer")
            data = os.read(self._in, 1 << 20)
            if not data:
                raise RuntimeError("chromium has ended")
            self._rest += data
        text, self._rest = self._rest.split(b"\0", 1)
        return json.loads(text)

    def open(self, path: Path, width: int, height: int, *, anchor: str = "", touch: bool = True):
        """Show a file in a window of this size; wait until it is loaded."""
        self.ask(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": touch},
        )
        self.events.clear()
        self.ask("Page.navigate", {"url": "about:blank"})
        self.ask("Page.navigate", {"url": path.as_uri() + anchor})
        self.until("document.readyState === 'complete' && location.protocol === 'file:'")

    def run(self, expression: str) -> Any:
        """Return what a JavaScript expression gives on the page."""
        result = self.ask("Runtime.evaluate", {"expression": expression, "returnByValue": True})
        if "exceptionDetails" in result:
            raise RuntimeError(str(result["exceptionDetails"]))
        return result["result"].get("value")

    def until(self, expression: str) -> None:
        """Wait until a JavaScript expression is true; fails when it never is."""
        end = time.monotonic() + PATIENCE_S
        while not self.run(expression):
            assert time.monotonic() < end, f"never true: {expression}"
            time.sleep(0.02)

    def click(self, selector: str) -> None:
        """Press and release the mouse in the middle of an element, as a person does."""
        place = self.run(
            f"(() => {{ const e = document.querySelector({json.dumps(selector)}); "
            "e.scrollIntoView({block: 'center'}); const b = e.getBoundingClientRect(); "
            "return [b.x + b.width / 2, b.y + b.height / 2]; })()"
        )
        for kind in ("mousePressed", "mouseReleased"):
            self.ask(
                "Input.dispatchMouseEvent",
                {"type": kind, "x": place[0], "y": place[1], "button": "left", "clickCount": 1},
            )

    def drag(self, selector: str, across: float, down: float) -> None:
        """Drag from the middle of an element."""
        x, y = self.run(
            f"(() => {{ const b = document.querySelector({json.dumps(selector)})"
            ".getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; })()"
        )
        for kind, dx, dy in (
            ("mousePressed", 0, 0),
            ("mouseMoved", across, down),
            ("mouseReleased", across, down),
        ):
            event = {"type": kind, "x": x + dx, "y": y + dy, "button": "left", "clickCount": 1}
            self.ask("Input.dispatchMouseEvent", event)

    def key(self, key: str) -> None:
        """Press and release a key."""
        codes = {
            "Tab": 9,
            "Enter": 13,
            " ": 32,
            "ArrowLeft": 37,
            "ArrowUp": 38,
            "ArrowRight": 39,
            "ArrowDown": 40,
        }
        code = codes.get(key, ord(key.upper()) if len(key) == 1 else 0)
        text = {"Enter": "\r"}.get(key, key if len(key) == 1 else "")
        event = {"key": key, "windowsVirtualKeyCode": code, "code": key if len(key) > 1 else ""}
        self.ask("Input.dispatchKeyEvent", {"type": "keyDown", "text": text, **event})
        self.ask("Input.dispatchKeyEvent", {"type": "keyUp", **event})

    def picture(self, path: Path) -> None:
        """Write what is seen as PNG."""
        data = self.ask("Page.captureScreenshot", {"format": "png"})["data"]
        path.write_bytes(base64.b64decode(data))

    def complaints(self) -> list[str]:
        """Return errors and warnings of the console, and uncaught exceptions, since `open`."""
        self.run("0")
        found = []
        for event in self.events:
            params = event.get("params", {})
            if event.get("method") == "Runtime.exceptionThrown":
                found.append(str(params["exceptionDetails"]))
            elif event.get("method") == "Runtime.consoleAPICalled":
                found.append(str(params["args"]))
            elif event.get("method") == "Log.entryAdded":
                found.append(params["entry"]["text"])
        return found

    def requests(self) -> list[str]:
        """Return the addresses of all that was asked for since `open`."""
        self.run("0")
        return [
            event["params"]["request"]["url"]
            for event in self.events
            if event.get("method") == "Network.requestWillBeSent"
        ]

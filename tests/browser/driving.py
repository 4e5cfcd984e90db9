"""The real service on a free port, the system's Chromium, and a shopper who uses the page."""

from __future__ import annotations

import json
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Locator, Page, Playwright, Route

PHONE = (360, 740)
SMALL = (320, 640)
DESK = (1280, 800)
SIZES = {"phone": PHONE, "desk": DESK}
LABEL = {"household": "2/3", "metric": "55", "servings": "8"}
GRANOLA = {"energy": "230", "fat": "8", "sodium": "160", "carbohydrate": "37"}
"""The sample panel of 21 CFR 101.9(d)."""
START_SECONDS = 30
WHOLE_JS = "async () => { await import('/modules/later.js'); }"
"""Fetches what comes after the first screen, as the page does by itself a moment later."""
MANY_TOURS = {"SHELFCHECK_TOUR_MAKES_PER_HOUR": "10000"}
"""All the tests come from one address."""


@contextmanager
def running_service(port: int | None = None, folder: Path | None = None) -> Iterator[str]:
    """Yield the address of the service, started as people start it; ``folder`` holds another copy of it."""
    port = port or free_port()
    command = [sys.executable, "-m", "shelfcheck", "serve", "--port", str(port)]
    with (
        tempfile.TemporaryDirectory() as data,
        subprocess.Popen(
            command,
            stdout=subprocess.DEVNULL,
            cwd=folder,
            env=os.environ | {"SHELFCHECK_DB": f"sqlite:///{data}/tours.db", **MANY_TOURS},
        ) as process,
    ):
        try:
            address = f"http://127.0.0.1:{port}/"
            _wait_for(f"{address}api/health", process)
            yield address
        finally:
            process.terminate()


def free_port() -> int:
    """Return a port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port


def _wait_for(url: str, process: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + START_SECONDS
    while time.monotonic() < end and process.poll() is None:
        try:
            with urllib.request.urlopen(url, timeout=1):
                return
        except OSError:  # not there yet, or too busy to answer at once
            time.sleep(0.1)
    message = f"the service did not start: exit status {process.poll()}"
    raise RuntimeError(message)


def open_chromium(playwright: Playwright) -> Browser:
    """Return the system's Chromium, without a window."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or "/usr/bin/chromium"
    return playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-dev-shm-usage"])


def new_context(browser: Browser, size: tuple[int, int], lang: str = "en", **more: Any) -> BrowserContext:
    """Return a fresh phone or desk: nothing remembered, the browser asking for ``lang``.

    No service worker stands between the page and the network unless ``service_workers="allow"`` asks for it.
    """
    width, height = size
    touch = width < 500
    more = {"service_workers": "block"} | more
    return browser.new_context(
        viewport={"width": width, "height": height},
        locale={"en": "en-US", "es": "es-US"}[lang],
        has_touch=touch,
        is_mobile=touch,
        **more,
    )


def _is_trouble(message: ConsoleMessage) -> bool:
    """Tell an error of the page from Chromium's report of a network that the test itself switched off.

    It reports refusals of the API too (a wrong code), which the page tells in its own words.
    """
    refused = "/api/" in message.location["url"] and re.search(r"status of 4\d\d", message.text)
    return message.type == "error" and "ERR_INTERNET_DISCONNECTED" not in message.text and not refused


class Shopper:
    """Somebody at the page, who finds things by their place and not by their words, so in any language."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        self.address = address
        self.troubles: list[str] = []
        self.held: list[Callable[[], None]] = []
        page.on("pageerror", lambda error: self.troubles.append(str(error)))
        page.on(
            "console",
            lambda message: self.troubles.append(message.text) if _is_trouble(message) else None,
        )

    def arrive(self) -> Shopper:
        self.page.goto(self.address)
        self.page.wait_for_selector("#label-title")
        self.page.evaluate(WHOLE_JS)
        return self

    def start_typing(self) -> Shopper:
        self.page.locator("#label .choices > button").click()
        self.page.wait_for_selector("#field-household")
        return self

    def fill(self, fields: Mapping[str, str]) -> Shopper:
        """Type into fields by a row's name ("household") or a nutrient's ("fat")."""
        for name, text in fields.items():
            self.field(name).fill(text)
            self.field(name).blur()
        return self

    def field(self, name: str) -> Locator:
        serving = name in ("household", "metric", "servings", "pieces")
        return self.page.locator(f"#field-{name}" if serving else f"#field-nutrients-{name}")

    def go_on(self) -> Shopper:
        self.page.locator("#check .next").click()
        return self

    def type_granola(self) -> Shopper:
        self.arrive().start_typing().fill(LABEL | GRANOLA).go_on()
        self.page.wait_for_selector("#numbers .card")
        return self

    def choose_photo(self, photo: Path) -> Shopper:
        self.page.locator("#label input[type=file]:not([capture])").set_input_files(photo)
        return self

    def show_measures(self) -> Shopper:
        """Open the choice of measures, where it is closed."""
        if not self.page.locator("#measures").is_visible():
            self.page.locator("[aria-controls=measures]").click()
        return self

    def choose(self, measure: str) -> Shopper:
        """Choose a measure by its id."""
        self.show_measures().page.locator(f"#measures [data-measure={measure}]").click()
        return self

    def press(self, sign: str, times: int = 1) -> Shopper:
        for _ in range(times):
            self.page.locator(f'.press:has(use[href="#drawing-{sign}"])').click()
        return self

    def value(self, nutrient: str) -> str:
        return self.page.locator(f".card.{nutrient} .value").inner_text()

    def range(self, nutrient: str) -> str:
        return self.page.locator(f".card.{nutrient} .range").inner_text()

    def ask_service(
        self, path: str, body: Mapping[str, Any] | None = None, method: str = "POST", token: str = ""
    ) -> dict[str, Any]:
        """Return what the API answers to the same question, or to the lead of a tour."""
        data = None if body is None else json.dumps(body).encode()
        headers = {"Content-Type": "application/json"} | (
            {"Authorization": f"Bearer {token}"} if token else {}
        )
        request = urllib.request.Request(
            f"{self.address}api/{path}", data=data, headers=headers, method=method
        )
        with urllib.request.urlopen(request, timeout=10) as answer:
            content: dict[str, Any] = json.load(answer)
        return content

    def answer_photos_with(
        self, answer: Mapping[str, Any], status: int = 200, *, held: bool = False
    ) -> Shopper:
        """Have the network answer each sent photo so, at once or when ``let_go`` is called."""

        def answer_one(route: Route) -> None:
            self.held.append(lambda: route.fulfill(status=status, json=dict(answer)))
            if not held:
                self.held.pop()()

        self.page.route("**/api/panels/read*", answer_one)
        return self

    def wait_until_sent(self) -> None:
        """Wait until a photo has left the page and is held."""
        end = time.monotonic() + START_SECONDS
        while not self.held and time.monotonic() < end:
            self.page.wait_for_timeout(50)

    def let_go(self) -> None:
        """Answer the photo that is held, once it has left the page."""
        self.wait_until_sent()
        self.held.pop()()

"""Two windows for browser tests, a phone and a desk, that fail on anything a person's browser would complain about."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import BrowserContext, ConsoleMessage, Page, Route, expect

from lib import chromium

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

# What a page must say may come late on a busy machine; it is never waited for longer than needed.
expect.set_options(timeout=20_000)

PHONE: dict[str, Any] = {
    "viewport": {"width": 390, "height": 844},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
}
DESK: dict[str, Any] = {"viewport": {"width": 1280, "height": 900}}


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    program = chromium.program()
    if not program:
        pytest.fail("Chromium is missing: install it, or name it in CHROMIUM.", pytrace=False)
    return {**browser_type_launch_args, "executable_path": program, "args": ARGUMENTS}


class Complaints:
    """What the browser complained about in one window; what the content policy blocks it says on the console."""

    def __init__(self, address: str) -> None:
        self.host = urlsplit(address).netloc
        self.heard: list[str] = []

    def watch(self, context: BrowserContext) -> None:
        context.route(lambda url: urlsplit(url).scheme in {"http", "https", "ws", "wss"}, self._route)
        context.on("console", self._console)
        context.on("weberror", lambda error: self.heard.append(f"error in the page: {error.error}"))

    def _route(self, route: Route) -> None:
        if urlsplit(route.request.url).netloc == self.host:
            route.fallback()
        else:
            self.heard.append(f"off-site request: {route.request.url}")
            route.abort()

    def _console(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.heard.append(f"console: {message.text} ({message.location.get('url', '')})")

    def unexpected(self, patterns: tuple[str, ...]) -> list[str]:
        return [line for line in self.heard if not any(re.search(pattern, line) for pattern in patterns)]


@pytest.fixture
def window(
    request: pytest.FixtureRequest, transactional_db: None, live_server: Any, new_context: Any
) -> Iterator[Callable[..., Page]]:
    """Opens windows by size: `window(viewport={...}, has_touch=True)` returns a page of a new, signed-out browser.

    Service workers are blocked unless `service_workers="allow"`: what they fetch themselves passes by all routes.

    The test fails afterwards on any complaint that no `@pytest.mark.complaints("pattern", ...)` expects.
    """
    opened: list[tuple[BrowserContext, Complaints]] = []

    def open_window(**options: Any) -> Page:
        # Sewing words follow the browser's language: a muslin in the one English is a toile in the other.
        usual = {"service_workers": "block", "locale": "en-GB"}
        context = new_context(base_url=live_server.url, **{**usual, **options})
        complaints = Complaints(live_server.url)
        complaints.watch(context)
        opened.append((context, complaints))
        return context.new_page()

    yield open_window
    for context, _ in opened:
        context.close()
    marker = request.node.get_closest_marker("complaints")
    patterns = marker.args if marker else ()
    heard = [line for _, complaints in opened for line in complaints.unexpected(patterns)]
    if heard:
        pytest.fail("The browser complained:\n" + "\n".join(heard), pytrace=False)


@pytest.fixture
def phone(window: Callable[..., Page]) -> Page:
    """A phone in the hand: 390 x 844, touch."""
    return window(**PHONE)


@pytest.fixture
def desk(window: Callable[..., Page]) -> Page:
    """A screen on the desk: 1280 x 900."""
    return window(**DESK)


@pytest.fixture
def without_javascript(window: Callable[..., Page]) -> Page:
    """A phone whose browser runs no script."""
    return window(**PHONE, java_script_enabled=False)

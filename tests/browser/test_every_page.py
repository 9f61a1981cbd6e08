"""Every page of the demo, on a phone and at a desk: it opens, says one thing first, fits, complains of nothing, and
can be used by everybody. A new route is walked by itself, or fails here until its address is known."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page

from tests.browser.accessibility import assert_accessible
from tests.browser.conftest import DESK, PHONE
from tests.browser.demo_pages import NO_PAGE, SENDS_ON, Reader, make_demo
from tests.house.roles_table import RULES
from tests.house.roles_world import routes

WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
# A page is gone through at the width that it is most read at, and only measured at the other.
WIDTHS = {"studio": (DESK, PHONE), "testers": (PHONE, DESK)}


def test_every_page_is_sound(window: Callable[..., Page], settings: Any) -> None:
    # No worker runs here: documents stay in the making, and the pages that wait for them are walked too.
    settings.PDF_ROWS_AT_ONCE = 1
    # A page that asks again while it is looked at would tell nothing new.
    settings.POLL_SECONDS = 600
    demo = make_demo()
    wrong = not_walked(demo)
    for group, readers in demo.items():
        here, there = WIDTHS[group]
        for reader in readers:
            wrong += walk(window(**here), reader, there["viewport"])
    assert not wrong, f"{len(wrong)} things are wrong:\n" + "\n".join(wrong)


def not_walked(demo: dict[str, list[Reader]]) -> list[str]:
    """Each route that answers GET is read by somebody, or stands among those that are no page."""
    walked = {name for readers in demo.values() for reader in readers for name, _address in reader.pages()}
    asked = {route.name for route in routes() if RULES[route.name].get is not None}
    missing = [f"{name} is read by nobody and is not among what is no page" for name in asked - walked - set(NO_PAGE)]
    return missing + [f"{name} is among what is no page for nothing" for name in set(NO_PAGE) - (asked - walked)]


def walk(page: Page, reader: Reader, other: dict[str, int]) -> Iterator[str]:
    """Let the reader in, open all their pages, and tell what is wrong with each."""
    page.goto(reader.enters)
    button = page.get_by_role("button", name="I take part").or_(page.get_by_role("button", name="Go to my round"))
    if reader.role == "tester":
        button.click()
        page.wait_for_url("**/test/*/")
    for name, address in reader.pages():
        # A reviewer reads the designer's pages, with less on them and in the same colours.
        for fault in faults(page, name, address, other, contrast=reader.role != "reviewer"):
            yield f"{reader.name}, {name} ({address}): {fault}"


def faults(
    page: Page, name: str, address: str, other: dict[str, int] | None = None, *, contrast: bool = True
) -> Iterator[str]:
    """What is wrong with a page in its window, and whether it fits a window of the other size."""
    answer = page.goto(address)
    if answer is None or answer.status != 200:
        yield f"answers {answer and answer.status}"
        return
    landed = urlsplit(page.url).path
    if landed != urlsplit(address).path and name not in SENDS_ON:
        yield f"sends on to {landed}"
    if (count := page.locator("h1").count()) != 1:
        yield f"has {count} first headings"
    yield from too_wide(page)
    try:
        assert_accessible(page, contrast=contrast)
    except AssertionError as found:
        yield str(found).partition(" is not accessible:\n")[2].replace("\n", "; ")
    if other and (here := page.viewport_size):
        page.set_viewport_size({"width": other["width"], "height": other["height"]})
        yield from too_wide(page)
        page.set_viewport_size(here)


def too_wide(page: Page) -> Iterator[str]:
    if (wider := page.evaluate(WIDER)) > 0:
        yield f"is {wider} px wider than a window of {(page.viewport_size or {}).get('width')}"


WRONG = """<!doctype html><html lang="en"><title>Wrong</title><main><h1>One</h1><h1>Two</h1><input>
<svg width="2000" height="9"></svg></main></html>"""


def test_what_is_wrong_with_a_page_is_told(desk: Page) -> None:
    desk.route("**/privacy/", lambda route: route.fulfill(body=WRONG, content_type="text/html"))
    told = " | ".join(faults(desk, "privacy", "/privacy/", PHONE["viewport"]))
    wide = ("px wider than a window of 1280", "px wider than a window of 390")
    for part in ("has 2 first headings", *wide, "label (critical)"):
        assert part in told
    assert desk.viewport_size == DESK["viewport"]


@pytest.mark.complaints("404")
def test_a_page_that_is_missing_or_sends_on_is_told(desk: Page) -> None:
    assert list(faults(desk, "privacy", "/nowhere/")) == ["answers 404"]
    assert list(faults(desk, "me", "/me/")) == ["sends on to /sign-in/"]

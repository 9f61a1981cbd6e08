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


@pytest.mark.parametrize("group", ["designer", "studio", "testers"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_is_sound(window: Callable[..., Page], settings: Any, group: str, size: dict[str, Any]) -> None:
    # No worker runs here: documents stay in the making, and the pages that wait for them are walked too.
    settings.PDF_ROWS_AT_ONCE = 1
    # A page that asks again while it is looked at would tell nothing new.
    settings.POLL_SECONDS = 600
    wrong = [line for reader in make_demo()[group] for line in walk(window(**size), reader)]
    assert not wrong, f"{len(wrong)} things are wrong:\n" + "\n".join(wrong)


def walk(page: Page, reader: Reader) -> Iterator[str]:
    """Let the reader in, open all their pages, and tell what is wrong with each."""
    page.goto(reader.enters)
    button = page.get_by_role("button", name="I take part").or_(page.get_by_role("button", name="Go to my round"))
    if reader.role == "tester":
        button.click()
        page.wait_for_url("**/test/*/")
    for name, address in reader.pages():
        # A reviewer reads the designer's pages, with less on them and in the same colours.
        for fault in faults(page, name, address, contrast=reader.role != "reviewer"):
            yield f"{reader.name}, {name} ({address}): {fault}"


def faults(page: Page, name: str, address: str, *, contrast: bool = True) -> Iterator[str]:
    answer = page.goto(address)
    if answer is None or answer.status != 200:
        yield f"answers {answer and answer.status}"
        return
    landed = urlsplit(page.url).path
    if landed != urlsplit(address).path and name not in SENDS_ON:
        yield f"sends on to {landed}"
    if (count := page.locator("h1").count()) != 1:
        yield f"has {count} first headings"
    if (wider := page.evaluate(WIDER)) > 0:
        yield f"is {wider} px wider than its window"
    try:
        assert_accessible(page, contrast=contrast)
    except AssertionError as found:
        yield str(found).partition(" is not accessible:\n")[2].replace("\n", "; ")


WRONG = """<!doctype html><html lang="en"><title>Wrong</title><main><h1>One</h1><h1>Two</h1><input>
<svg width="2000" height="9"></svg></main></html>"""


def test_what_is_wrong_with_a_page_is_told(desk: Page) -> None:
    desk.route("**/privacy/", lambda route: route.fulfill(body=WRONG, content_type="text/html"))
    told = " | ".join(faults(desk, "privacy", "/privacy/"))
    for part in ("has 2 first headings", "px wider than its window", "label (critical)"):
        assert part in told


@pytest.mark.complaints("404")
def test_a_page_that_is_missing_or_sends_on_is_told(desk: Page) -> None:
    assert list(faults(desk, "privacy", "/nowhere/")) == ["answers 404"]
    assert list(faults(desk, "me", "/me/")) == ["sends on to /sign-in/"]


@pytest.mark.django_db
def test_every_route_that_answers_get_is_walked() -> None:
    """Each is read by somebody, or stands among those that are no page."""
    walked = {name for readers in make_demo().values() for reader in readers for name, _address in reader.pages()}
    asked = {route.name for route in routes() if RULES[route.name].get is not None}
    assert asked - walked == set(NO_PAGE)
    assert not walked & set(NO_PAGE)

"""The overview in a browser: it brings itself up to date under the reader's hands, opens its rows, reads well."""

from __future__ import annotations

import re

import pytest
from django.conf import settings
from django.urls import reverse
from playwright.sync_api import Page, expect

from testing_rounds.actions.weighing import weigh_by_hand
from tests.browser.accessibility import assert_accessible
from tests.factories import make_cast, signed_in
from tests.testing_rounds.imported import imported, report_of
from tests.testing_rounds.rounds import a_round, answers_by_size

NINE = ("6", "8", "10", "12", "14", "16", "18", "20", "22")


@pytest.fixture
def cast(transactional_db: None):
    return make_cast()


def let_in(page: Page, person, address: str) -> Page:
    """Open an address as this person."""
    session = signed_in(person).cookies[settings.SESSION_COOKIE_NAME].value
    page.goto("/")
    page.context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": page.url}])
    page.goto(address)
    return page


def wide_round(studio):
    return imported(studio, a_round(answers_by_size("cuff", {size: [0, 1, 0] for size in NINE}), sizes=NINE))


def test_a_report_set_aside_elsewhere_shows_here_and_the_reader_keeps_the_place(cast, desk, settings):
    settings.POLL_SECONDS = 1
    found = imported(cast.studio)
    page = let_in(desk, cast.designer, reverse("round", args=[found.ref]))
    cell = page.get_by_role("link", name="2 of 3 tight", exact=True)
    cell.focus()
    page.get_by_text("Why 2 sizes are flagged").click()
    cell.focus()
    page.evaluate("window.scrollTo(0, 420)")
    weigh_by_hand(report=report_of(found, "T11"), zones=["hip"], what="aside", reason="Late.", by=cast.owner)
    expect(page.locator("#updated")).to_have_text(re.compile("Updated"))
    expect(page.locator("#cell-1-3")).to_have_attribute("title", "Size 40: 2 of 2 tight")
    expect(page.locator("#cell-1-3")).to_be_focused()
    expect(page.locator("#why-flagged")).to_have_attribute("open", "")
    assert page.evaluate("window.scrollY") == 420


def test_pages_of_evidence_are_accessible_at_the_desk(cast, desk):
    found = imported(cast.studio)
    for address in _pages(found):
        let_in(desk, cast.designer, address)
        assert_accessible(desk)
        assert desk.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), address


def test_pages_of_evidence_are_accessible_on_a_phone(cast, phone):
    found = imported(cast.studio)
    for address in _pages(found):
        let_in(phone, cast.designer, address)
        assert_accessible(phone)
        assert phone.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), address


def _pages(found) -> list[str]:
    return [
        reverse("round", args=[found.ref]),
        reverse("round_zone", args=[found.ref, "hip"]),
        reverse("round_cell", args=[found.ref, "hip", 3]),
        reverse("round_size", args=[found.ref, 3]),
        reverse("report", args=[report_of(found, "T07").ref]),
        reverse("round_steps", args=[found.ref]),
    ]


def test_a_row_opens_on_a_phone_and_each_size_is_wide_enough_for_a_finger(cast, phone):
    found = wide_round(cast.studio)
    page = let_in(phone, cast.designer, reverse("round", args=[found.ref]))
    cell = page.locator("#cell-2-4")
    page.get_by_label("Larger Cuff").check(force=True)
    box = cell.bounding_box()
    assert box is not None
    assert box["width"] >= 44
    assert box["height"] >= 44
    assert_accessible(page)
    cell.click()
    expect(page.locator("h1")).to_have_text("1 of 3 loose at the cuff in size 14.")


def test_without_a_script_everything_is_reached(cast, without_javascript):
    found = imported(cast.studio)
    page = let_in(without_javascript, cast.designer, reverse("round", args=[found.ref]))
    page.get_by_role("link", name="The hip is tight from size 40 up.").click()
    page.get_by_label("Why, in your words").fill("The break is missing.")
    page.get_by_role("button", name="Record the decision").click()
    expect(page.get_by_text("The decision is recorded.")).to_be_visible()
    page.get_by_text("Put back, with a reason").last.click()
    page.get_by_label("Reason").last.fill("Pressed flat again.")
    page.get_by_role("button", name="Put it back").last.click()
    expect(page.get_by_text("The answer counts again.")).to_be_visible()

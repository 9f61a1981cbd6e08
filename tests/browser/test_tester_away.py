"""A tester whose line is away, slow, or shared by two pages: what is typed goes nowhere but to the report, once."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from testing_rounds.models import FitReport, Place, ZoneVerdict
from tests.browser.conftest import PHONE
from tests.browser.test_tester import mark, name_on_form, opened, waiting
from tests.factories import make_studio
from tests.testing_rounds.testers import make_place, make_round, make_version, with_consents

NARROW = {**PHONE, "viewport": {"width": 360, "height": 740}}
WORDS = "Anything else, in your words"
# Round trip and rates of what browsers emulate as slow 3G: 400 ms, 400 kbit/s both ways.
SLOW_3G = {"offline": False, "latency": 400, "downloadThroughput": 50_000, "uploadThroughput": 50_000}


@pytest.fixture
def place(transactional_db: None) -> Place:
    return with_consents(make_place(make_round(make_version(make_studio())), timezone="Europe/Helsinki"))


@pytest.fixture
def narrow(window: Any) -> Page:
    return window(**NARROW)


UNTIL = """async ([least, most]) => {
  for (;;) {
    const names = (await caches.keys()).filter((name) => name.startsWith("toile-pages:"));
    const pages = await Promise.all(names.map(async (name) => (await (await caches.open(name)).keys()).length));
    const kept = pages.reduce((sum, one) => sum + one, 0);
    if (least <= kept && kept <= most) return;
    await new Promise((go) => setTimeout(go, 50));
  }
}"""


def until_kept(page: Page, least: int, most: int = 99) -> None:
    """Wait until the phone keeps so many pages for when there is no line."""
    page.evaluate(UNTIL, [least, most])


@pytest.mark.complaints(r"ERR_INTERNET_DISCONNECTED", r"ERR_FAILED", r"503")
def test_an_hour_without_a_line_loses_nothing_and_opens_pages(window, place):
    phone = window(**NARROW, service_workers="allow")
    opened(phone, place, "fit")
    until_kept(phone, 4)
    phone.context.set_offline(True)
    name_on_form(phone, "waist").click()
    phone.get_by_label("much too tight").check()
    expect(mark(phone)).to_contain_text("kept on this phone")
    phone.goto(f"/test/{place.ref}/last/")
    phone.get_by_label(WORDS).fill("In the train.")
    phone.reload()
    expect(phone.get_by_label(WORDS)).to_have_value("In the train.")
    phone.goto(f"/test/{place.ref}/send/")
    expect(phone.get_by_role("heading", level=1)).to_contain_text("There is no connection just now.")
    phone.context.set_offline(False)
    phone.goto(f"/test/{place.ref}/last/")
    expect(mark(phone)).to_contain_text("Saved")
    assert (FitReport.objects.get().words, ZoneVerdict.objects.get().fit) == ("In the train.", -2)
    phone.goto(f"/test/{place.ref}/send/")
    phone.get_by_role("button", name="Send the report").click()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Thank you")
    until_kept(phone, 0, 0)
    assert waiting(phone) == 0


def test_two_tabs_on_one_field_ask_which_holds(narrow, place):
    first = opened(narrow, place, "last")
    second = narrow.context.new_page()
    second.goto(f"/test/{place.ref}/last/")
    first.get_by_label(WORDS).fill("From the first tab.")
    expect(mark(first)).to_contain_text("Saved")
    second.get_by_label(WORDS).fill("From the second tab.")
    both = second.get_by_role("alert").filter(has_text="Elsewhere it says “From the first tab.”")
    expect(both).to_contain_text("Here it says “From the second tab.”")
    assert FitReport.objects.get().words == "From the first tab."
    second.get_by_role("button", name=re.compile("^Next")).click()
    expect(both.get_by_role("button", name="Keep what it says here")).to_be_focused()
    second.keyboard.press("Enter")
    expect(mark(second)).to_contain_text("Saved")
    assert FitReport.objects.get().words == "From the second tab."
    first.get_by_label(WORDS).fill("Once more.")
    first.get_by_role("button", name="Take the other").click()
    expect(first.get_by_label(WORDS)).to_have_value("From the second tab.")
    assert FitReport.objects.get().words == "From the second tab."
    assert waiting(first) == 0


@pytest.mark.complaints(r"ERR_FAILED")
def test_an_answer_that_was_lost_on_the_way_is_no_other_page(narrow, place):
    """The server has written, the phone did not hear of it, and its tester types on."""
    opened(narrow, place, "last")
    lost: list[str] = []

    def lose_the_first(route: Any) -> None:
        lost.append(route.request.post_data)
        if len(lost) == 1:
            route.fetch()
            route.abort()
        else:
            route.fallback()

    narrow.route("**/save/", lose_the_first)
    narrow.get_by_label(WORDS).fill("Half a")
    expect(mark(narrow)).to_contain_text("Not sent yet")
    narrow.get_by_label(WORDS).fill("Half a sentence.")
    expect(mark(narrow)).to_contain_text("Saved")
    expect(narrow.locator(".both")).to_have_count(0)
    assert FitReport.objects.get().words == "Half a sentence."


def test_back_and_a_slow_line(narrow, place):
    opened(narrow, place, "steps")
    line = narrow.context.new_cdp_session(narrow)
    line.send("Network.emulateNetworkConditions", SLOW_3G)
    narrow.get_by_role("link", name="Note step 6").click()
    narrow.get_by_label("A typing error", exact=True).check()
    narrow.get_by_label("Which words?").fill("3/8 is 1 cm")
    narrow.get_by_role("button", name="Back to all steps").click()
    expect(narrow.get_by_role("link", name="Change step 6")).to_be_visible()
    narrow.go_back()
    expect(narrow.get_by_label("Which words?")).to_have_value("3/8 is 1 cm")
    assert FitReport.objects.get().step_notes.get().text == "3/8 is 1 cm"


def test_a_report_by_keyboard_alone_with_names_that_are_read_out(narrow, place):
    opened(narrow, place, "print")
    narrow.get_by_role("textbox", name="Across the page").focus()
    narrow.keyboard.type("9.73")
    narrow.keyboard.press("Tab")
    narrow.keyboard.type("9.73")
    expect(narrow.get_by_role("heading", name="Please do not cut yet.")).to_be_visible()
    narrow.get_by_role("checkbox", name="I cut anyway").focus()
    narrow.keyboard.press("Space")
    narrow.get_by_role("textbox", name="What did you do about it?").focus()
    narrow.keyboard.type("evened out")
    narrow.get_by_role("button", name="Next: How it fits").focus()
    narrow.keyboard.press("Enter")
    expect(narrow).to_have_url(re.compile("/fit/$"))
    narrow.locator(".dform-name[data-label='length']").first.focus()
    narrow.keyboard.press("Enter")
    expect(narrow.get_by_role("region", name="Length")).to_be_visible()
    narrow.get_by_role("radio", name="a bit short").focus()
    narrow.keyboard.press("Space")
    shoes = narrow.get_by_role("combobox", name="With which shoes?")
    shoes.focus()
    with narrow.expect_response("**/save/"):
        narrow.keyboard.type("flat")
    expect(mark(narrow)).to_contain_text("Saved")
    expect(narrow.get_by_role("status")).to_contain_text("Saved")
    report = FitReport.objects.get()
    assert (report.shoes, report.verdicts.get().fit) == ("flat", -1)

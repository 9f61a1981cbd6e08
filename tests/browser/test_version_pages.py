"""A version's pages in a browser: the ease while typing, one size at a time on a phone, a file taken and refused."""

from __future__ import annotations

from urllib.parse import parse_qs, urlsplit

import pytest
from django.conf import settings
from django.urls import reverse
from playwright.sync_api import Page, expect

from tests.browser.accessibility import assert_accessible
from tests.factories import make_cast, make_chart, signed_in
from tests.releases.things import A4, make_pattern, make_version, pdf_bytes


@pytest.fixture
def cast(transactional_db: None):
    return make_cast()


@pytest.fixture
def version(cast):
    chart = make_chart(cast.studio)
    return make_version(make_pattern(cast.studio, cast.owner, chart=chart), chart, cast.owner)


def let_in(page: Page, person, address: str) -> Page:
    """Open an address as this person."""
    session = signed_in(person).cookies[settings.SESSION_COOKIE_NAME].value
    page.goto("/")
    page.context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": page.url}])
    page.goto(address)
    return page


def test_the_ease_follows_the_typing(cast, version, desk):
    page = let_in(desk, cast.designer, reverse("version_finished", args=[version.ref]))
    for size, typed in (("10", "94"), ("12", "98.5"), ("14", "102")):
        page.get_by_label(f"Bust, size {size}", exact=True).fill(typed)
    page.get_by_label("Bust, size 14", exact=True).press("Tab")
    row = page.locator("#ease tbody tr").first
    expect(row).to_contain_text("6.5")
    assert_accessible(page)
    page.get_by_role("button", name="Save the measurements").click()
    expect(page.locator("h1")).to_contain_text("Version 0.9 still needs a file to print.")
    assert_accessible(page)


def test_a_phone_types_one_size_after_the_other(cast, version, phone):
    page = let_in(phone, cast.designer, reverse("version_finished", args=[version.ref]))
    for size, typed in (("10", "94"), ("12", "98"), ("14", "102")):
        page.get_by_role("button", name=size, exact=True).click()
        page.get_by_label(f"Bust, size {size}", exact=True).fill(typed)
    assert_accessible(page)
    page.get_by_role("button", name="Save the measurements").click()
    expect(page.locator("#measurements tbody").first).to_contain_text("94.0")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.complaints("status of 422")
def test_a_file_is_taken_by_its_content_without_a_script_too(cast, version, without_javascript):
    page = let_in(without_javascript, cast.designer, reverse("version_files", args=[version.ref]))
    choose = page.get_by_label("PDF file")
    choose.set_input_files({"name": "a.pdf", "mimeType": "application/pdf", "buffer": b"a picture in disguise"})
    page.get_by_role("button", name="Take the file").click()
    expect(page.get_by_text("This is not a PDF.")).to_be_visible()
    choose.set_input_files({"name": "a.txt", "mimeType": "text/plain", "buffer": pdf_bytes(A4)})
    page.get_by_role("button", name="Take the file").click()
    expect(page.get_by_text("a.txt is here, with 1 page.")).to_be_visible()


@pytest.mark.complaints("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")
def test_a_file_goes_on_where_the_line_dropped(cast, version, desk, settings):
    settings.UPLOAD_PART_BYTES = 400
    content = pdf_bytes(A4, A4, A4)
    page = let_in(desk, cast.designer, reverse("version_files", args=[version.ref]))
    starts: list[str] = []

    def drop_once(route):
        starts.append(parse_qs(urlsplit(route.request.url).query)["from"][0])
        if starts.count("400") == 1 and starts[-1] == "400":
            route.abort("internetdisconnected")
        else:
            route.fallback()

    page.route("**/uploads/*/?from=*", drop_once)
    page.get_by_label("PDF file").set_input_files({"name": "a.pdf", "mimeType": "application/pdf", "buffer": content})
    page.get_by_role("button", name="Take the file").click()
    expect(page.get_by_text("The line dropped. What came so far is kept")).to_be_visible()
    assert_accessible(page)
    page.get_by_role("button", name="Try now").click()
    expect(page.get_by_text("a.pdf is here, with 3 pages.")).to_be_visible()
    assert starts[:3] == ["0", "400", "400"], "nothing that had come was sent again"
    assert_accessible(page)


@pytest.mark.complaints("status of 422")
def test_a_file_that_came_in_parts_is_refused_in_its_place(cast, version, phone):
    page = let_in(phone, cast.designer, reverse("version_files", args=[version.ref]))
    page.get_by_label("PDF file").set_input_files(
        {"name": "a.pdf", "mimeType": "application/pdf", "buffer": b"a shirt"}
    )
    page.get_by_role("button", name="Take the file").click()
    expect(page.get_by_text("This is not a PDF.")).to_be_visible()
    expect(page.get_by_role("button", name="Take the file")).to_be_enabled()

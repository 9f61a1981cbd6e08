"""The windows of the browser tests notice what they are there to notice."""

from __future__ import annotations

import pytest

from tests.browser.accessibility import assert_accessible
from tests.browser.conftest import Complaints


@pytest.fixture
def bare_page(new_context):
    """A page without a server, watched, and the list of what it complained about."""
    context = new_context()
    complaints = Complaints("http://127.0.0.1:1")
    complaints.watch(context)
    return context.new_page(), complaints


def heard(bare_page, html: str, head: str = "") -> str:
    page, complaints = bare_page
    page.set_content(f"<!doctype html><html lang='en'><head>{head}<title>t</title></head><body>{html}</body></html>")
    return "\n".join(complaints.unexpected(()))


def test_an_error_in_a_script_is_heard(bare_page):
    assert "error in the page" in heard(bare_page, "<script>missing.call()</script>")


def test_an_error_on_the_console_is_heard(bare_page):
    assert "console: torn" in heard(bare_page, "<script>console.error('torn')</script>")


def test_a_request_to_another_site_is_stopped_and_heard(bare_page):
    assert "off-site request: http://other.example/a.png" in heard(
        bare_page, "<img alt='' src='http://other.example/a.png'>"
    )


def test_a_blocked_style_is_heard(bare_page):
    policy = """<meta http-equiv="Content-Security-Policy" content="style-src 'none'">"""
    assert "Content Security Policy directive 'style-src 'none''" in heard(
        bare_page, "<p style='color: red'>hem</p>", head=policy
    )


def test_a_quiet_page_is_quiet(bare_page):
    assert heard(bare_page, "<main><h1>Hem</h1></main>") == ""


def test_a_field_without_a_label_is_not_accessible(bare_page):
    page, _ = bare_page
    page.set_content("<!doctype html><html lang='en'><title>t</title><main><h1>Hem</h1><input></main></html>")
    with pytest.raises(AssertionError, match="label"):
        assert_accessible(page)

"""The way in, as a stranger sees it."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.accessibility import assert_accessible
from tests.browser.conftest import DESK, PHONE


def wider_than_the_window(page: Page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")


def test_the_first_page_speaks_without_javascript(without_javascript):
    without_javascript.goto("/")
    expect(without_javascript.get_by_role("heading", level=1)).to_be_visible()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_first_page_fits_its_window_and_is_accessible(size, window):
    page = window(**size)
    page.goto("/")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert not wider_than_the_window(page)
    assert_accessible(page)

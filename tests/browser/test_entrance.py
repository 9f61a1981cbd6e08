"""The way in, as a stranger sees it."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.accessibility import assert_accessible


def wider_than_the_window(page: Page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")


@pytest.mark.parametrize("device", ["phone", "desk", "without_javascript"])
def test_the_first_page_welcomes_a_stranger(device, request):
    page: Page = request.getfixturevalue(device)
    page.goto("/")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert not wider_than_the_window(page)


@pytest.mark.parametrize("device", ["phone", "desk"])
def test_the_first_page_is_accessible(device, request):
    page: Page = request.getfixturevalue(device)
    page.goto("/")
    assert_accessible(page)

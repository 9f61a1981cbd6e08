"""Typing a size chart in a browser: by keys and by pasting at a desk, by two people at once, on a phone."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Locator, Page, expect
from pytest_django import Settings

from measurements.chart_store import load_table
from measurements.length_display import plain
from measurements.models import SizeChart
from people.demo_links import demo_link
from people.models import Person
from tests.browser.accessibility import assert_accessible
from tests.browser.conftest import DESK, PHONE
from tests.factories import make_cast, make_chart

CHART = "Size\t10\t12\t14\nBust\t88\t92\t96\nWaist\t70\t74\tseventy"
PASTE = """([selector, text]) => {
  const data = new DataTransfer();
  data.setData("text/plain", text);
  const event = new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true});
  document.querySelector(selector).dispatchEvent(event);
}"""


PASTE_HERE = """(text) => {
  const data = new DataTransfer();
  data.setData("text/plain", text);
  const event = new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true});
  document.activeElement.dispatchEvent(event);
}"""
COPY_HERE = """() => {
  const data = new DataTransfer();
  document.activeElement.dispatchEvent(new ClipboardEvent("copy", {clipboardData: data, bubbles: true}));
  return data.getData("text/plain");
}"""


def cells() -> dict[str, list[str]]:
    table = load_table(SizeChart.objects.get().latest())
    return {line.key: [plain(mm / 10) if mm is not None else "" for mm in line.mm] for line in table.lines}


def test_a_chart_is_pasted_corrected_by_keyboard_and_saved(desk: Page) -> None:
    cast = make_cast()
    desk.goto(demo_link(cast.designer))
    desk.goto(f"/studios/{cast.studio.ref}/charts/new/")
    desk.get_by_label("The chart, sizes in the first row").fill(CHART)
    desk.get_by_role("button", name="Read what I pasted").click()
    expect(desk.get_by_role("heading", level=1)).to_have_text("One cell cannot be read as a length.")
    assert_accessible(desk)
    desk.locator("input[name='c0.1']").focus()
    for key in ("ArrowDown", "End", "ArrowRight"):
        desk.keyboard.press(key)
    expect(desk.locator("input[name='c1.2']")).to_be_focused()
    desk.keyboard.type("78")
    desk.get_by_label("Name of the chart").fill("Saltmarsh women's chart")
    desk.get_by_role("button", name="Save the chart").click()
    expect(desk.get_by_role("heading", level=1)).to_contain_text("runs from 10 to 14")
    assert_accessible(desk)
    assert cells() == {"bust": ["88", "92", "96"], "waist": ["70", "74", "78"]}


def test_a_block_pasted_into_the_grid_fills_the_cells_from_there_on(desk: Page) -> None:
    cast = make_cast()
    chart = make_chart(cast.studio)
    desk.goto(demo_link(cast.designer))
    desk.goto(f"/charts/{chart.ref}/edit/")
    desk.evaluate(PASTE, ["input[name='c1.1']", "75\t79\r\n99\t103\t107\r\n"])
    expect(desk.locator("input[name='c2.2']")).to_have_value("103")
    desk.get_by_role("button", name="Save the chart").click()
    expect(desk.get_by_role("heading", level=1)).to_contain_text("runs from 10 to 14")
    assert cells() == {"bust": ["88", "92", "96"], "waist": ["70", "75", "79"], "hip": ["94", "99", "103"]}


def test_a_phone_without_scripts_edits_one_size_at_a_time(without_javascript: Page) -> None:
    cast = make_cast()
    chart = make_chart(cast.studio)
    phone = without_javascript
    phone.goto(demo_link(cast.designer))
    phone.goto(f"/charts/{chart.ref}/grid/")
    phone.wait_for_url("**/edit/")
    expect(phone.locator("table.typing")).to_be_hidden()
    phone.get_by_role("button", name="12 base").click()
    phone.get_by_label("Waist").fill("74.5")
    phone.get_by_role("button", name="14", exact=True).click()
    phone.get_by_label("Hip").fill("102.5")
    phone.get_by_role("button", name="Save the chart").click()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("runs from 10 to 14")
    assert cells() == {"bust": ["88", "92", "96"], "waist": ["70", "74.5", "78"], "hip": ["94", "98", "102.5"]}


def open_grid(page: Page, person: Person, chart: SizeChart) -> Page:
    page.goto(demo_link(person))
    page.goto(f"/charts/{chart.ref}/grid/")
    expect(page.locator("#live-grid.ready")).to_be_visible()
    return page


def cell(page: Page, row: str, size: str) -> Locator:
    """A cell by the heads that a reader sees."""
    sizes = [text.split()[0] for text in page.locator("#live-table th.size").all_inner_texts()]
    line = page.locator("#live-table tbody tr", has=page.locator("th", has_text=re.compile(f"^{row}")))
    return line.locator("td").nth(sizes.index(size))


def shown(page: Page) -> list[list[str]]:
    return [row.locator("td .t").all_inner_texts() for row in page.locator("#live-table tbody tr").all()]


def saved(page: Page) -> None:
    expect(page.locator("#saved")).to_have_text("Saved")


def press(page: Page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def test_a_chart_is_edited_by_keyboard_like_a_spreadsheet(desk: Page) -> None:
    cast = make_cast()
    chart = make_chart(cast.studio)
    open_grid(desk, cast.designer, chart)
    cell(desk, "Bust", "10").focus()
    press(desk, "ArrowDown", "ArrowRight")
    expect(cell(desk, "Waist", "12")).to_be_focused()
    desk.keyboard.type("74.5")
    press(desk, "Enter")
    expect(cell(desk, "Hip", "12")).to_be_focused()
    press(desk, "Tab", "Shift+Tab", "F2", "End")
    desk.keyboard.type(".5")
    press(desk, "Tab")
    expect(cell(desk, "Hip", "14")).to_be_focused()
    desk.keyboard.type("999")
    press(desk, "Escape")
    assert shown(desk) == [["88", "92", "96"], ["70", "74.5", "78"], ["94", "98.5", "102"]]
    saved(desk)

    press(desk, "Control+Home", "Shift+ArrowDown", "Shift+ArrowRight")
    assert desk.evaluate(COPY_HERE) == "88\t92\n70\t74.5"
    press(desk, "Delete")
    saved(desk)
    assert shown(desk)[0] == ["", "", "96"]
    press(desk, "Control+z")
    desk.evaluate(PASTE_HERE, "87\t91\t34 1/2 in\r\n69\tseventy\r\n")
    saved(desk)
    assert shown(desk)[:2] == [["87", "91", "34 1/2 in"], ["69", "seventy", "78"]]
    expect(cell(desk, "Waist", "12")).to_have_attribute("aria-invalid", "true")
    assert_accessible(desk)
    press(desk, "Control+z")
    expect(cell(desk, "Waist", "12")).not_to_have_attribute("aria-invalid", "true")
    assert shown(desk) == [["88", "92", "96"], ["70", "74.5", "78"], ["94", "98.5", "102"]]
    press(desk, "Control+Shift+z", "Control+z")
    saved(desk)

    desk.reload()
    assert shown(desk) == [["88", "92", "96"], ["70", "74.5", "78"], ["94", "98.5", "102"]]
    desk.get_by_label("What changed").fill("Measured again")
    desk.get_by_role("button", name="Save as revision 2").click()
    expect(desk.get_by_role("heading", level=1)).to_contain_text("runs from 10 to 14")
    assert cells() == {"bust": ["88", "92", "96"], "waist": ["70", "74.5", "78"], "hip": ["94", "98.5", "102"]}


def test_two_people_see_each_others_changes_and_choose_where_both_changed_a_cell(
    window: Callable[..., Page], settings: Settings
) -> None:
    settings.CHART_POLL_SECONDS = 0.2
    cast = make_cast()
    chart = make_chart(cast.studio)
    imelda = open_grid(window(**DESK), cast.owner, chart)
    kwabena = open_grid(window(**PHONE), cast.designer, chart)
    cell(imelda, "Bust", "12").click()
    imelda.keyboard.type("93")
    press(imelda, "Enter")
    kwabena.get_by_role("button", name="12 base").tap()
    expect(cell(kwabena, "Bust", "12")).to_contain_text("Imelda")
    expect(kwabena.locator("#tally")).to_contain_text("1 cell changed by Imelda Tarrowby")

    cell(kwabena, "Waist", "12").tap()
    kwabena.keyboard.press("Control+a")
    kwabena.keyboard.type("75")
    cell(imelda, "Waist", "12").click()
    imelda.keyboard.type("74.5")
    press(imelda, "Enter")
    saved(imelda)
    expect(kwabena.locator("#tally")).to_contain_text("2 cells changed by Imelda Tarrowby")
    press(kwabena, "Enter")
    expect(cell(kwabena, "Waist", "12")).to_contain_text("or 75")
    expect(cell(imelda, "Waist", "12")).to_contain_text("or 75")
    kwabena.reload()
    kwabena.get_by_role("button", name="Go there").tap()
    expect(kwabena.locator("#cell-line")).to_contain_text("has changed this cell to 74.5 meanwhile; you typed 75.")
    assert_accessible(kwabena, contrast=False)
    kwabena.get_by_role("button", name="Take 75").tap()
    expect(cell(imelda, "Waist", "12")).to_contain_text("Kwabena")
    assert shown(imelda) == [["88", "93", "96"], ["70", "75", "78"], ["94", "98", "102"]]

    # A size that one adds does not disturb what the other is typing.
    cell(imelda, "Hip", "14").click()
    imelda.keyboard.type("103")
    kwabena.get_by_text("Sizes, measurements and breaks").tap()
    kwabena.get_by_label("A new size after 12").fill("13")
    kwabena.get_by_role("button", name="Add the size").tap()
    expect(imelda.locator("#live-table th.size")).to_have_count(4)
    press(imelda, "Enter")
    expect(cell(imelda, "Hip", "14")).to_contain_text("103")
    expect(cell(kwabena, "Hip", "14").locator(".t")).to_have_text("103")

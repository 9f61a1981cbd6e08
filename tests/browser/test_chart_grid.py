"""Typing a size chart in a browser: by keys and by pasting at a desk, one size at a time on a phone without scripts."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from measurements.chart_store import load_table
from measurements.length_display import plain
from measurements.models import SizeChart
from people.demo_links import demo_link
from tests.browser.accessibility import assert_accessible
from tests.factories import make_cast, make_chart

CHART = "Size\t10\t12\t14\nBust\t88\t92\t96\nWaist\t70\t74\tseventy"
PASTE = """([selector, text]) => {
  const data = new DataTransfer();
  data.setData("text/plain", text);
  const event = new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true});
  document.querySelector(selector).dispatchEvent(event);
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
    phone.goto(f"/charts/{chart.ref}/edit/")
    expect(phone.locator("table.typing")).to_be_hidden()
    phone.get_by_role("button", name="12 base").click()
    phone.get_by_label("Waist").fill("74.5")
    phone.get_by_role("button", name="14", exact=True).click()
    phone.get_by_label("Hip").fill("102.5")
    phone.get_by_role("button", name="Save the chart").click()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("runs from 10 to 14")
    assert cells() == {"bust": ["88", "92", "96"], "waist": ["70", "74.5", "78"], "hip": ["94", "98", "102.5"]}

"""The accessibility rules that every page must pass."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

FAILING = {"serious", "critical"}
# A bar that sticks to the window's edge lies over whatever is scrolled under it; where it belongs it hides nothing.
LAY_DOWN = "document.querySelectorAll('.stick').forEach((bar) => { bar.style.position = 'static'; })"
STAND_UP = "document.querySelectorAll('.stick').forEach((bar) => { bar.style.position = ''; })"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def assert_accessible(page: Page, *, contrast: bool = True) -> None:
    """Fail on any serious or critical finding on the page as it stands, naming rule and elements.

    `contrast`: False where the same colours were looked at before; they take half of the time.
    """
    # Without the list of what passed and a second fetch of the style sheets, in a third of the time.
    options = {
        "resultTypes": ["violations"],
        "preload": False,
        "rules": {"color-contrast": {"enabled": contrast}},
        "runOnly": {"type": "tag", "values": TAGS},
    }
    page.evaluate(LAY_DOWN)
    found = Axe().run(page, options=options).response["violations"]
    page.evaluate(STAND_UP)
    lines = [
        f"{rule['id']} ({rule['impact']}): {rule['help']}: {'; '.join(_elements(rule))}"
        for rule in found
        if rule["impact"] in FAILING
    ]
    assert not lines, f"{page.url} is not accessible:\n" + "\n".join(lines)


def _elements(rule: dict) -> list[str]:
    return [" ".join(map(str, node["target"])) for node in rule["nodes"]]

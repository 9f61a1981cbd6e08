"""The accessibility rules that every page must pass."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

FAILING = {"serious", "critical"}
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def assert_accessible(page: Page) -> None:
    """Fail on any serious or critical finding on the page as it stands, naming rule and elements."""
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": TAGS}}).response["violations"]
    lines = [
        f"{rule['id']} ({rule['impact']}): {rule['help']}: {'; '.join(_elements(rule))}"
        for rule in found
        if rule["impact"] in FAILING
    ]
    assert not lines, f"{page.url} is not accessible:\n" + "\n".join(lines)


def _elements(rule: dict) -> list[str]:
    return [" ".join(map(str, node["target"])) for node in rule["nodes"]]

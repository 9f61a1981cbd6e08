"""The worked tables of docs/algorithms, so that a test asserts the very table that people read."""

from __future__ import annotations

import re
from pathlib import Path

PAGES = Path(__file__).parents[2] / "docs" / "algorithms"


def worked_table(page: str, heading: str) -> list[dict[str, str]]:
    """The first table below a heading of a page, a dictionary a row; code marks are taken off."""
    text = (PAGES / page).read_text(encoding="utf-8")
    section = text.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]
    lines = [line for line in section.splitlines() if line.startswith("|")]
    head, _, *rows = [[cell.strip().strip("`") for cell in re.split(r"(?<!\\)\|", line)[1:-1]] for line in lines]
    return [dict(zip(head, row, strict=True)) for row in rows]

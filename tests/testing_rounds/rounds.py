"""Rounds for tests: made in a line, or the example of the documents."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from testing_rounds.round_data import Report, RoundData, Zone, ZoneAnswer
from testing_rounds.round_file import parse

DOCS = Path(__file__).resolve().parents[2] / "docs"
EXAMPLE = DOCS / "examples" / "round.json"
SIZES = ("6", "8", "10", "12", "14", "16", "18", "20", "22", "24")

BUST = Zone("bust", "bust", "tight", "loose", body_point="bust")
BACK = Zone("back_length", "back length", "short", "long", body_point="back_waist")
SLEEVE = Zone("cuff", "cuff", "tight", "loose")


def example() -> RoundData:
    return parse(EXAMPLE.read_bytes())


def a_round(reports: Sequence[Report], *, sizes: Sequence[str] = SIZES, **more: Any) -> RoundData:
    """A woven round in which bust grows by 4 cm a size and back waist by 0.5."""
    values: dict[str, Any] = {
        "pattern": "Tidewrack",
        "fabric": "woven",
        "version": "0.4",
        "sizes": tuple(sizes),
        "base_size": sizes[0],
        "test_square": 10.0,
        "body_chart": {
            "bust": tuple(80.0 + 4 * i for i in range(len(sizes))),
            "back_waist": tuple(39.0 + i / 2 for i in range(len(sizes))),
        },
        "finished_chart": {"bust": tuple(86.0 + 4 * i for i in range(len(sizes)))},
        "zones": (BUST, BACK, SLEEVE),
        "reports": tuple(reports),
        "drafted_height": 165.0,
    }
    return RoundData(**(values | more))


def a_report(tester: str = "T1", size: str = "12", zones: Mapping[str, int] | None = None, **more: Any) -> Report:
    """A report that gives each zone its fit."""
    answers = {zone: ZoneAnswer(fit) for zone, fit in (zones or {}).items()}
    return Report(**({"tester": tester, "size": size, "zones": answers} | more))


def answers_by_size(zone: str, row: Mapping[str, Sequence[int]]) -> list[Report]:
    """A report for each fit: {"12": [0, -1]} is two testers of size 12."""
    return [
        a_report(f"{size}/{number}", size, {zone: fit}) for size, fits in row.items() for number, fit in enumerate(fits)
    ]


def tables(page: str) -> Iterator[list[dict[str, str]]]:
    """The tables of a page of the documents, each as rows by the words at the head."""
    text = (DOCS / page).read_text(encoding="utf-8")
    for block in re.findall(r"(?:^\|.*\|\n)+", text, re.MULTILINE):
        head, _, *rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in block.splitlines()]
        yield [dict(zip(head, row, strict=True)) for row in rows]


def table(page: str, *head: str) -> list[dict[str, str]]:
    """The rows of the table of a page whose head begins with these words."""
    return next(rows for rows in tables(page) if tuple(rows[0])[: len(head)] == head)

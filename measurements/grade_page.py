"""The grade check as a page shows it: a number at every cell and step that a finding names, and the ease below."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from measurements.chart_page import Found, PageRow, page_rows
from measurements.charts import ChartTable
from measurements.grade_marks import marks
from measurements.grade_types import Finding
from measurements.measures import Catalogue

Numbered = Sequence[tuple[int, Finding]]


@dataclass(frozen=True)
class GradeRow:
    """A row of the chart as a page shows it, its declared breaks, and its ease where there is a body beside it."""

    row: PageRow
    breaks: tuple[str, ...]
    ease: tuple[Decimal | None, ...] = ()


def places_found(table: ChartTable, numbered: Numbered) -> dict[tuple[str, str], Found]:
    """{(row key, size): the finding that names it}."""
    numbers = {id(finding.says): n for n, finding in numbered}
    found = marks(table, [finding for _, finding in numbered])
    return {place: Found(numbers[id(mark.says)], mark.kind, mark.on_step) for place, mark in found.items()}


def grade_rows(
    table: ChartTable,
    catalogue: Catalogue,
    numbered: Numbered,
    ease: Mapping[str, Sequence[Decimal | None]] | None = None,
) -> tuple[GradeRow, ...]:
    """The rows of a chart, with the numbers of its findings at the cells and steps they are about."""
    rows = page_rows(table, catalogue, None, places_found(table, numbered))
    eased = ease or {}
    return tuple(
        GradeRow(row, line.breaks, tuple(eased.get(line.key, ()))) for row, line in zip(rows, table.lines, strict=True)
    )

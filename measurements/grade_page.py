"""Where a page shows the findings of a grade check: a number at every cell and step that one of them names."""

from __future__ import annotations

from collections.abc import Sequence

from measurements.chart_page import Found
from measurements.charts import ChartTable
from measurements.grade_marks import marks
from measurements.grade_types import Finding


def places_found(table: ChartTable, numbered: Sequence[tuple[int, Finding]]) -> dict[tuple[str, str], Found]:
    """{(row key, size): the finding that names it}."""
    numbers = {id(finding.says): n for n, finding in numbered}
    found = marks(table, [finding for _, finding in numbered])
    return {place: Found(numbers[id(mark.says)], mark.kind, mark.on_step) for place, mark in found.items()}

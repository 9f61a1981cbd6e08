"""How well slips are found: every cell of published charts shifted, one at a time. Sources: data/SOURCES.md.

The shares stand in docs/algorithms/grade-check.md; the page must say what is counted here.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from measurements.charts import ChartCell, ChartTable
from measurements.grade_check import check_grade
from measurements.grade_entry import ChartEntry, read_chart
from tests.measurements.tables import worked_table

DATA = Path(__file__).parent / "data"
NAMES = ("astm_d5585_11e1", "pattern_chart_1967_misses", "pattern_chart_1967_womens", "metric_textbook")
# Lengths move by eighths of an inch a size: a centimetre there is no slip of the tape, but nonsense.
GIRTHS = frozenset(
    {"bust", "upper_bust", "under_bust", "high_bust", "waist", "hip", "waist_curvy", "waist_straight", "upper_chest"}
)
EASE_MM = Decimal("50.8")


@pytest.fixture(scope="module")
def charts() -> list[ChartEntry]:
    return [read_chart((DATA / f"{name}.csv").read_bytes(), finished=False) for name in NAMES]


def shifted(table: ChartTable, key: str, at: int, mm: Decimal) -> ChartTable:
    lines = []
    for line in table.lines:
        cells = list(line.cells)
        cell = cells[at]
        if line.key == key and cell:
            cells[at] = ChartCell(cell.mm + mm, cell.typed, cell.unit)
        lines.append(replace(line, cells=tuple(cells)))
    return replace(table, lines=tuple(lines))


def with_ease(table: ChartTable) -> ChartTable:
    for line in table.lines:
        for at in range(len(table.sizes)):
            table = shifted(table, line.key, at, EASE_MM)
    return table


def counted(charts: list[ChartEntry], cm: int, *, on_ease: bool) -> Counter[str]:
    """Hits and tries at inner sizes and ends, and slips or breaks that name another row or size."""
    told: Counter[str] = Counter()
    for entry in charts:
        table = entry.table
        garment = with_ease(table) if on_ease else None
        off = Decimal(cm * 10)
        if entry.unit == "in":
            eighth = Decimal("3.175")
            off = (off / eighth).quantize(Decimal(1), ROUND_HALF_UP) * eighth
        for line in table.lines:
            for at, size in enumerate(table.sizes):
                for sign in (1, -1):
                    if line.key not in GIRTHS:
                        continue
                    where = "end" if at in (0, len(table.sizes) - 1) else "inner"
                    planted = shifted(garment or table, line.key, at, sign * off)
                    report = check_grade(table, planted) if on_ease else check_grade(planted, None)
                    found = [one for one in report.findings if one.kind in ("slip", "break")]
                    hit = [one for one in found if (one.kind, one.measure, one.sizes) == ("slip", line.key, (size,))]
                    told[where] += 1
                    told[f"{where} hit"] += bool(hit)
                    told["false"] += sum(size not in one.sizes or one.measure != line.key for one in found)
                    told["tried"] += 1
    return told


@pytest.mark.parametrize("row", worked_table("grade-check.md", "How well it finds"), ids=lambda row: str(row)[:40])
def test_the_shares_of_the_page_are_those_counted(charts, row):
    told = counted(charts, int(row["off by, cm"]), on_ease=row["judged on"] == "ease")
    shares = [f"{100 * told[f'{where} hit'] / told[where]:.0f} %" for where in ("inner", "end")]
    assert [*shares, f"{told['false'] / told['tried']:.2g}"] == [row["inner sizes"], row["ends"], row["false, a chart"]]

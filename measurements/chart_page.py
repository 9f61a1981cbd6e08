"""A stored chart as its page shows it: every length, the steps between neighbouring sizes, what a change touched."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from measurements.chart_changes import ChartChanges
from measurements.charts import ChartLine, ChartTable
from measurements.measures import Catalogue, Measure


@dataclass(frozen=True)
class PageCell:
    """One length; `changed` where this revision changed it."""

    mm: Decimal | None
    changed: bool = False


@dataclass(frozen=True)
class PageStep:
    """From one size to the next: the larger minus the smaller, None beside a gap; `is_break` where declared."""

    mm: Decimal | None
    is_break: bool = False


@dataclass(frozen=True)
class PageRow:
    key: str
    label: str
    cells: tuple[PageCell, ...]
    steps: tuple[PageStep, ...]
    measure: Measure | None


def page_rows(table: ChartTable, catalogue: Catalogue, changed: ChartChanges | None = None) -> tuple[PageRow, ...]:
    known = {measure.key: measure for measure in catalogue}
    places = {(cell.key, cell.size) for cell in changed.cells} if changed else set()
    return tuple(
        PageRow(
            key=line.key,
            label=line.label,
            cells=tuple(
                PageCell(mm, (line.key, size) in places) for size, mm in zip(table.sizes, line.mm, strict=True)
            ),
            steps=tuple(_steps(table.sizes, line)),
            measure=known.get(line.key),
        )
        for line in table.lines
    )


def _steps(sizes: Iterable[str], line: ChartLine) -> Iterable[PageStep]:
    for (_, below), (size, above) in pairwise(zip(sizes, line.mm, strict=True)):
        step = None if below is None or above is None else above - below
        yield PageStep(step, size in line.breaks)

"""A stored chart as its page shows it: every length, the steps between neighbouring sizes, what a change touched."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from measurements.chart_changes import ChartChanges
from measurements.charts import ChartLine, ChartTable
from measurements.measures import Catalogue, Measure


@dataclass(frozen=True)
class Found:
    """The number and kind of the finding that names a cell, or the step up to a size (`on_step`)."""

    n: int
    kind: str
    on_step: bool = False


@dataclass(frozen=True)
class PageCell:
    """One length; `changed` where this revision changed it, `found` the finding of the grade check that names it."""

    mm: Decimal | None
    changed: bool = False
    found: Found | None = None


@dataclass(frozen=True)
class PageStep:
    """From one size to the next: the larger minus the smaller, None beside a gap; `is_break` where declared."""

    mm: Decimal | None
    is_break: bool = False
    found: Found | None = None


@dataclass(frozen=True)
class PageRow:
    key: str
    label: str
    cells: tuple[PageCell, ...]
    steps: tuple[PageStep, ...]
    measure: Measure | None
    breaks: tuple[str, ...] = ()
    ease: tuple[Decimal | None, ...] = ()


Places = Mapping[tuple[str, str], Found]


def page_rows(
    table: ChartTable,
    catalogue: Catalogue,
    changed: ChartChanges | None = None,
    found: Places | None = None,
    ease: Mapping[str, Sequence[Decimal | None]] | None = None,
) -> tuple[PageRow, ...]:
    """The rows with what a revision `changed`, what the grade check `found`, and by row the `ease` in each size."""
    known = {measure.key: measure for measure in catalogue}
    places = {(cell.key, cell.size) for cell in changed.cells} if changed else set()
    return tuple(
        PageRow(
            key=line.key,
            label=line.label,
            cells=tuple(
                PageCell(mm, (line.key, size) in places, _at(found, line.key, size, step=False))
                for size, mm in zip(table.sizes, line.mm, strict=True)
            ),
            steps=tuple(_steps(table.sizes, line, found)),
            measure=known.get(line.key),
            breaks=line.breaks,
            ease=tuple((ease or {}).get(line.key, ())),
        )
        for line in table.lines
    )


def _at(found: Places | None, key: str, size: str, *, step: bool) -> Found | None:
    one = found.get((key, size)) if found else None
    return one if one and one.on_step is step else None


def _steps(sizes: Iterable[str], line: ChartLine, found: Places | None) -> Iterable[PageStep]:
    for (_, below), (size, above) in pairwise(zip(sizes, line.mm, strict=True)):
        step = None if below is None or above is None else above - below
        yield PageStep(step, size in line.breaks, _at(found, line.key, size, step=True))

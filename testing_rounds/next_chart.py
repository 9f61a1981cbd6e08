"""The next version's finished chart: the one before with the accepted changes in it, and each change told.

Lengths in mm, + is bigger. Method and limits: docs/algorithms/next-version.md.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.finished_measures import FINISHED_MEASURES
from measurements.length_display import MM_PER_INCH, inch_parts, plain, rounded

SIXTEENTH = MM_PER_INCH / 16
PER = {"mm": Decimal(1), "cm": Decimal(10)}


@dataclass(frozen=True)
class Accepted:
    """One accepted decision: a finished measurement, and the change in each size that it touches."""

    measure: str
    changes: Mapping[str, Decimal]


@dataclass(frozen=True)
class CellChange:
    """One cell of the chart that is another in the next version."""

    measure: str
    label: str
    size: str
    before: Decimal
    after: Decimal


@dataclass(frozen=True)
class NextChart:
    """The chart of the next version, what changed in it, and which changes found no cell to change."""

    table: ChartTable
    changes: tuple[CellChange, ...]
    nowhere: tuple[tuple[str, str], ...] = ()


def apply_decisions(table: ChartTable, decisions: Iterable[Accepted]) -> NextChart:
    """The chart with every change in it; several changes of one cell add up. The base size changes like any other."""
    wanted: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for one in decisions:
        for size, change in one.changes.items():
            wanted[one.measure, size] += change
    told: list[CellChange] = []
    lines = tuple(_changed(line, table.sizes, wanted, told) for line in table.lines)
    there = {
        (line.key, size) for line in table.lines for size, cell in zip(table.sizes, line.cells, strict=True) if cell
    }
    nowhere = tuple(place for place, change in wanted.items() if change and place not in there)
    return NextChart(replace(table, lines=lines), tuple(told), nowhere)


def _changed(
    line: ChartLine, sizes: Sequence[str], wanted: Mapping[tuple[str, str], Decimal], told: list[CellChange]
) -> ChartLine:
    cells = []
    for size, cell in zip(sizes, line.cells, strict=True):
        change = wanted.get((line.key, size), Decimal(0))
        after = _cell(cell.mm + change, cell.unit) if cell and change else cell
        if cell and after and after.mm != cell.mm:
            told.append(CellChange(line.key, line.label, size, cell.mm, after.mm))
        cells.append(after)
    return replace(line, cells=tuple(cells))


def _cell(mm: Decimal, unit: str) -> ChartCell:
    """A length as it would be typed: in a chart in inches on the nearest sixteenth, for no tape shows less."""
    if unit == "in":
        on_tape = rounded(mm, SIXTEENTH)
        return ChartCell(on_tape, str(inch_parts(on_tape, 16)), "in")
    return ChartCell(mm, plain(mm / PER[unit]), unit)


@dataclass(frozen=True)
class SizeBeforeAfter:
    """One size of a measurement, before and after: the length, the step from the next smaller size, the ease."""

    size: str
    before: Decimal | None
    after: Decimal | None
    step_before: Decimal | None
    step_after: Decimal | None
    ease_before: Decimal | None
    ease_after: Decimal | None

    @property
    def change(self) -> Decimal:
        return Decimal(0) if self.before is None or self.after is None else self.after - self.before

    @property
    def step_changes(self) -> bool:
        return self.step_before != self.step_after


@dataclass(frozen=True)
class RowBeforeAfter:
    """A finished measurement over all sizes, before and after."""

    measure: str
    label: str
    body: str
    sizes: tuple[SizeBeforeAfter, ...]

    @property
    def changes(self) -> bool:
        return any(one.change for one in self.sizes)


def before_after(
    before: ChartTable, after: ChartTable, body: ChartTable | None, measures: Collection[str]
) -> tuple[RowBeforeAfter, ...]:
    """These measurements of the finished chart before and after, in the chart's order, with steps and ease."""
    rows = []
    for line in before.lines:
        then = after.line(line.key)
        if line.key in measures and then is not None:
            body_key = FINISHED_MEASURES[line.key].body if line.key in FINISHED_MEASURES else None
            flesh = [body.mm_at(body_key, size) if body and body_key else None for size in before.sizes]
            rows.append(
                RowBeforeAfter(line.key, line.label, body_key or "", tuple(_sizes(before.sizes, line, then, flesh)))
            )
    return tuple(rows)


def _sizes(
    sizes: Sequence[str], was: ChartLine, then: ChartLine, flesh: Sequence[Decimal | None]
) -> Iterable[SizeBeforeAfter]:
    for at, size in enumerate(sizes):
        old, new = was.mm[at], then.mm[at]
        yield SizeBeforeAfter(
            size, old, new, _step(was.mm, at), _step(then.mm, at), _less(old, flesh[at]), _less(new, flesh[at])
        )


def _step(row: Sequence[Decimal | None], at: int) -> Decimal | None:
    return _less(row[at], row[at - 1]) if at else None


def _less(one: Decimal | None, other: Decimal | None) -> Decimal | None:
    return None if one is None or other is None else one - other


def next_number(number: str, *, for_sale: bool = False) -> str:
    """The number of the next version to test: 0.9 is followed by 0.10, 1.0.1 by 1.0.2; "" where none is obvious.

    0.x is tested, 1.0 sold: `for_sale` makes it 1.0.
    """
    head, dot, tail = number.rpartition(".")
    if for_sale:
        return "1.0" if number.startswith("0.") else ""
    return f"{head}{dot}{int(tail) + 1}" if dot and tail.isascii() and tail.isdigit() else ""

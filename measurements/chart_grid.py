"""A chart as the texts of a grid on a page: laid out for typing, changed by hand, read back.

Nothing here is saved. A chart that is opened for editing shows texts that read back to the same lengths, and a
text that was left as it stood keeps the cell that was stored.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal

from measurements.chart_draft import ChartDraft, DraftRow
from measurements.chart_reading import read_chart_rows
from measurements.chart_text import LIMITS, ChartLimits
from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.length_display import plain
from measurements.lengths import DecimalMark, LengthError, Unit, read_length
from measurements.measures import Catalogue

_MARKS: tuple[DecimalMark | None, ...] = (None, ".", ",")
_UNITS: dict[str, Unit] = {"mm": "mm", "cm": "cm", "in": "in"}


@dataclass(frozen=True)
class GridRow:
    """The name of a measurement, with its unit where it has one of its own, and a text a size."""

    label: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class ChartGrid:
    """Texts as they stand on the page. `unit` holds for bare numbers; `base` is the place of the base size."""

    unit: Unit
    sizes: tuple[str, ...] = ()
    rows: tuple[GridRow, ...] = ()
    base: int | None = None

    @property
    def base_label(self) -> str | None:
        return self.sizes[self.base] if self.base is not None and self.base < len(self.sizes) else None

    def with_size(self, label: str, at: int | None = None) -> ChartGrid:
        """One more size, empty, before the size at a place, or at the end."""
        at = len(self.sizes) if at is None else max(0, min(at, len(self.sizes)))
        base = self.base + 1 if self.base is not None and at <= self.base else self.base
        rows = (GridRow(row.label, (*row.cells[:at], "", *row.cells[at:])) for row in self.rows)
        return replace(self, sizes=(*self.sizes[:at], label, *self.sizes[at:]), rows=tuple(rows), base=base)

    def without_size(self, at: int) -> ChartGrid:
        base = self.base
        if base is not None and at <= base:
            base = None if at == base else base - 1
        rows = (GridRow(row.label, (*row.cells[:at], *row.cells[at + 1 :])) for row in self.rows)
        return replace(self, sizes=(*self.sizes[:at], *self.sizes[at + 1 :]), rows=tuple(rows), base=base)

    def with_row(self, label: str) -> ChartGrid:
        return replace(self, rows=(*self.rows, GridRow(label, ("",) * len(self.sizes))))

    def without_row(self, at: int) -> ChartGrid:
        return replace(self, rows=(*self.rows[:at], *self.rows[at + 1 :]))

    def turned(self) -> ChartGrid:
        """The sizes in the opposite order."""
        base = None if self.base is None else len(self.sizes) - 1 - self.base
        rows = (GridRow(row.label, row.cells[::-1]) for row in self.rows)
        return replace(self, sizes=self.sizes[::-1], rows=tuple(rows), base=base)

    def without_unread(self, draft: ChartDraft) -> ChartGrid:
        """Every cell empty that the draft could not read."""
        rows = (
            GridRow(
                row.label, tuple("" if cell.unread else text for text, cell in zip(row.cells, read.cells, strict=False))
            )
            for row, read in zip(self.rows, draft.rows, strict=False)
        )
        return replace(self, rows=tuple(rows))


def grid_of_draft(draft: ChartDraft) -> ChartGrid:
    """What was read from a paste or a file, laid out for correction."""
    rows = (GridRow(row.typed_label, tuple(cell.typed for cell in row.cells)) for row in draft.rows)
    return ChartGrid(draft.unit, tuple(size.label for size in draft.sizes), tuple(rows))


def grid_of_table(table: ChartTable, unit: Unit) -> ChartGrid:
    """A stored chart, laid out for editing: every text reads back to the length that is stored."""
    base = table.sizes.index(table.base) if table.base in table.sizes else None
    return ChartGrid(unit, table.sizes, tuple(_grid_row(line, unit) for line in table.lines), base)


def _grid_row(line: ChartLine, unit: Unit) -> GridRow:
    units = Counter(cell.unit for cell in line.cells if cell)
    usual = max(units, key=lambda name: (units[name], name == unit), default=str(unit))
    label = line.label if usual == unit else f"{line.label} ({usual})"
    return GridRow(label, tuple(_text(cell, _UNITS[usual]) for cell in line.cells))


def _text(cell: ChartCell | None, unit: Unit) -> str:
    if cell is None:
        return ""
    texts = (cell.typed, f"{cell.typed} {cell.unit}")
    return next((text for text in texts if _reads_as(text, unit, cell.mm)), f"{plain(cell.mm)} mm")


def _reads_as(text: str, unit: Unit, mm: Decimal) -> bool:
    for mark in _MARKS:
        try:
            if read_length(text, unit, decimal_mark=mark).mm == mm:
                return True
        except LengthError:
            continue
    return False


@dataclass(frozen=True)
class Opened:
    """A stored chart beside the grid that was laid out from it."""

    table: ChartTable
    grid: ChartGrid

    def line(self, label: str) -> ChartLine | None:
        """The stored row whose name stands unchanged in the grid."""
        names = [row.label for row in self.grid.rows]
        return self.table.lines[names.index(label)] if label in names else None

    def untouched(self, label: str, size: str, text: str) -> ChartCell | None:
        """The stored cell, where its text, its row's name and its size's label stand as they were laid out."""
        line = self.line(label)
        if line is None or size not in self.table.sizes:
            return None
        place = self.table.sizes.index(size)
        laid_out = self.grid.rows[self.table.lines.index(line)].cells[place]
        return line.cells[place] if text == laid_out else None


def open_chart(table: ChartTable, unit: Unit) -> Opened:
    return Opened(table, grid_of_table(table, unit))


def read_grid(
    grid: ChartGrid, *, catalogue: Catalogue, opened: Opened | None = None, limits: ChartLimits = LIMITS
) -> ChartDraft:
    """Read the grid, each cell with its doubt. A row whose name was not changed stays the measurement that it was."""
    stored = [opened.line(row.label) if opened else None for row in grid.rows]
    rows = [(_name_to_read(row, line, catalogue), row.cells) for row, line in zip(grid.rows, stored, strict=True)]
    draft = read_chart_rows(grid.sizes, rows, unit=grid.unit, catalogue=catalogue, limits=limits)
    if len(draft.rows) != len(stored):
        return draft
    return replace(draft, rows=tuple(map(_as_stored, draft.rows, stored)))


def _name_to_read(row: GridRow, line: ChartLine | None, catalogue: Catalogue) -> str:
    """The key in place of a name that the catalogue does not know, with the unit that the name states."""
    if line is None or line.key not in catalogue:
        return row.label
    return f"{line.key}{row.label.removeprefix(line.label)}" if row.label.startswith(line.label) else row.label


def _as_stored(row: DraftRow, line: ChartLine | None) -> DraftRow:
    return row if line is None else replace(row, key=line.key, label=line.label)


def table_of(grid: ChartGrid, draft: ChartDraft, opened: Opened | None = None) -> ChartTable:
    """The chart to save. Raises ValueError while the draft has obstacles."""
    table = draft.table(grid.base_label)
    if opened is None:
        return table
    lines = []
    for line, row in zip(table.lines, grid.rows, strict=True):
        cells = tuple(
            opened.untouched(row.label, size, text) or cell
            for size, text, cell in zip(table.sizes, row.cells, line.cells, strict=True)
        )
        was = opened.table.line(line.key)
        breaks = tuple(size for size in was.breaks if size in table.sizes) if was else ()
        lines.append(replace(line, cells=cells, breaks=breaks))
    return replace(table, lines=tuple(lines))

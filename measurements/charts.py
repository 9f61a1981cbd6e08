"""A chart as plain values, and the adapter that reads one from the database."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class ChartCell:
    """One cell: exact millimetres, the typed text, and its unit (cm, in or mm)."""

    mm: Decimal
    typed: str
    unit: str


@dataclass(frozen=True)
class ChartLine:
    """One measurement over all sizes; a cell is None where the chart is silent."""

    key: str
    label: str
    cells: tuple[ChartCell | None, ...]
    breaks: tuple[str, ...] = ()

    @property
    def mm(self) -> tuple[Decimal | None, ...]:
        return tuple(cell.mm if cell else None for cell in self.cells)


@dataclass(frozen=True)
class ChartTable:
    """A whole chart: size labels in order, the base size, the lines."""

    sizes: tuple[str, ...]
    base: str | None
    lines: tuple[ChartLine, ...]

    def line(self, key: str) -> ChartLine | None:
        return next((line for line in self.lines if line.key == key), None)

    def mm_at(self, key: str, size: str) -> Decimal | None:
        """The length of one measurement in one size, or None."""
        line = self.line(key)
        if line is None or size not in self.sizes:
            return None
        return line.mm[self.sizes.index(size)]

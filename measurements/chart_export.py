"""A chart on its way out in both units: rows in pairs, exact, and the same chart when it is read back.

The upper row of a pair is in the chart's own unit and is the chart: every length without rounding, and one that this
unit cannot write exactly in its other unit, which it then names. The lower row repeats it in the other system.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from measurements.chart_csv import exact, rows_csv
from measurements.charts import ChartLine, ChartTable
from measurements.length_display import MM_PER_INCH, plain
from measurements.measures import Catalogue, split_unit

# What no spreadsheet file may hold: marks that XML has no place for.
_NO_TEXT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff\ud800-\udfff]")


# The unit in brackets stands behind it, and a cell is read to 120 characters.
_LONGEST_NAME = 110
NO_VALUE = "–"


@dataclass(frozen=True)
class ExportCell:
    """A length as exact text, and as a number where the row's unit can write it."""

    text: str
    number: Decimal | None = None


@dataclass(frozen=True)
class ExportRow:
    name: str
    unit: str
    cells: tuple[ExportCell, ...]

    @property
    def heading(self) -> str:
        return f"{self.name} ({self.unit})"


def export_rows(table: ChartTable, unit: str, catalogue: Catalogue) -> Iterator[ExportRow]:
    """Two rows a measurement, the first in `unit` (cm or in)."""
    for line in table.lines:
        name = _name(line, catalogue)
        for row_unit in (unit, "cm" if unit == "in" else "in"):
            # A row without any value would be read as a heading.
            empty = ExportCell("" if any(line.cells) else NO_VALUE)
            cells = (empty if mm is None else _cell(mm, row_unit, leads=row_unit == unit) for mm in line.mm)
            yield ExportRow(name, row_unit, tuple(cells))


def _cell(mm: Decimal, unit: str, *, leads: bool) -> ExportCell:
    text = exact(mm, unit)
    number = mm / 10 if unit == "cm" else mm / MM_PER_INCH
    if unit == "in" and leads and number != number.quantize(Decimal("0.000001")):
        return ExportCell(f"{plain(mm / 10)} cm")
    return ExportCell(text, number)


def _name(line: ChartLine, catalogue: Catalogue) -> str:
    """The row's own name, where it leads back to the same measurement; else the measurement's key."""
    label = clean(line.label)
    measure = catalogue.find(label)
    key = measure.key if measure else re.sub(r"[^a-z0-9]+", "_", label.lower()).strip("_")[:60] or "row"
    fits = key == line.key and split_unit(label) == (label, None) and len(label) <= _LONGEST_NAME
    return label if fits else line.key


def clean(text: str) -> str:
    """A text without the marks that no file may hold."""
    return _NO_TEXT.sub("", text)


def both_units_csv(table: ChartTable, unit: str, catalogue: Catalogue) -> str:
    """The chart in both units as CSV text, safe to open in a spreadsheet."""
    rows = ((row.heading, [cell.text for cell in row.cells]) for row in export_rows(table, unit, catalogue))
    return rows_csv(unit, map(clean, table.sizes), rows)

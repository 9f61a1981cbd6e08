"""A chart in both units as an XLSX workbook: numbers are numbers, and no text is ever a formula."""

from __future__ import annotations

import io
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from measurements.chart_export import ExportCell, clean, export_rows
from measurements.charts import ChartTable
from measurements.measures import Catalogue

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

# Fractions of an inch as a tape has them: the workbook's number format for each denominator.
_TAPE = {1: "0", 2: "# ?/2", 4: "# ?/4", 8: "# ?/8", 16: "# ??/16", 32: "# ??/32", 64: "# ??/64"}
_DECIMAL = "0.0#####"
_CM = "0.0###"


def chart_workbook(table: ChartTable, unit: str, catalogue: Catalogue) -> bytes:
    """The workbook, with one sheet as the CSV in both units has it. It reads back as the same chart."""
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    sheet: Any = book.active
    sheet.title = "Chart"
    _text(sheet, 1, 1, f"Measurement ({unit})")
    for column, size in enumerate(table.sizes, start=2):
        _text(sheet, 1, column, clean(size))
    for i, row in enumerate(export_rows(table, unit, catalogue), start=2):
        _text(sheet, i, 1, row.heading)
        for column, cell in enumerate(row.cells, start=2):
            _length(sheet, i, column, cell, row.unit)
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "B2"
    sheet.column_dimensions["A"].width = 26
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def _text(sheet: Worksheet, row: int, column: int, text: str) -> None:
    """A text, even where it begins like a formula, also after someone opens the cell and closes it again."""
    cell = sheet.cell(row, column)
    cell.value = text
    cell.data_type = "s"
    cell.quotePrefix = True  # type: ignore[attr-defined, unused-ignore]


def _length(sheet: Worksheet, row: int, column: int, cell: ExportCell, unit: str) -> None:
    if cell.number is None:
        if cell.text:
            _text(sheet, row, column, cell.text)
        return
    made = sheet.cell(row, column, float(cell.number))
    made.number_format = _CM if unit == "cm" else _TAPE.get(Fraction(cell.number).denominator, _DECIMAL)

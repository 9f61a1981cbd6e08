"""A chart laid out as texts and read back: what nobody touched stays to the digit."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from measurements.body_measures import BODY_MEASURES
from measurements.chart_csv import chart_csv, exact
from measurements.chart_grid import ChartGrid, GridRow, grid_of_draft, open_chart, read_grid, table_of
from measurements.chart_page import page_rows
from measurements.chart_reading import read_chart_text
from measurements.charts import ChartCell, ChartLine, ChartTable
from tests.factories import chart_table


def reread(table: ChartTable, unit: str = "cm") -> ChartTable:
    opened = open_chart(table, unit)
    draft = read_grid(opened.grid, catalogue=BODY_MEASURES, opened=opened)
    return table_of(opened.grid, draft, opened)


def cell(mm: str, typed: str, unit: str) -> ChartCell:
    return ChartCell(Decimal(mm), typed, unit)


MIXED = ChartTable(
    ("8", "10", "12"),
    "10",
    (
        ChartLine("bust", "Bust", (cell("876.3", "34½", "in"), cell("920", "92", "cm"), None), ("12",)),
        ChartLine("waist", "Taille", (cell("685.8", "27", "in"), cell("711.2", "28", "in"), None)),
        ChartLine("wrist_to_ring", "Wrist to ring", (cell("180", "180", "mm"), None, None)),
    ),
)


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_a_chart_that_nobody_touched_reads_back_as_it_was(unit: str) -> None:
    assert reread(MIXED, unit) == MIXED
    assert reread(chart_table(unit="in"), unit) == chart_table(unit="in")


def test_a_row_in_another_unit_says_so_in_its_name() -> None:
    grid = open_chart(MIXED, "cm").grid
    assert [row.label for row in grid.rows] == ["Bust", "Taille (in)", "Wrist to ring (mm)"]
    assert grid.rows[0].cells == ("34½ in", "92", "")


def test_a_text_that_no_longer_reads_is_laid_out_exactly() -> None:
    odd = ChartTable(("8",), None, (ChartLine("bust", "Bust", (cell("860.4", "about 86", "cm"),)),))
    assert open_chart(odd, "cm").grid.rows[0].cells == ("860.4 mm",)
    assert reread(odd) == odd


def test_a_changed_cell_is_read_anew_and_its_neighbours_are_not() -> None:
    opened = open_chart(MIXED, "cm")
    grid = replace(opened.grid, rows=(GridRow("Bust", ("34½ in", "92,5", "96")), *opened.grid.rows[1:]))
    table = table_of(grid, read_grid(grid, catalogue=BODY_MEASURES, opened=opened), opened)
    assert table.lines[0].cells == (
        MIXED.lines[0].cells[0],
        cell("925", "92,5", "cm"),
        cell("960", "96", "cm"),
    )
    assert table.lines[1:] == MIXED.lines[1:]


def test_a_row_keeps_its_measurement_and_its_breaks_under_a_name_of_ones_own() -> None:
    table = reread(MIXED)
    assert (table.lines[1].key, table.lines[1].label) == ("waist", "Taille")
    assert table.lines[0].breaks == ("12",)


def test_sizes_and_rows_come_and_go_with_the_base_in_place() -> None:
    grid = open_chart(chart_table(), "cm").grid
    assert grid.base_label == "12"
    assert grid.with_size("8", 0).base_label == "12"
    assert grid.with_size("16").sizes == ("10", "12", "14", "16")
    assert grid.without_size(0).base_label == "12"
    assert grid.without_size(1).base is None
    assert grid.turned().sizes == ("14", "12", "10")
    assert grid.turned().base_label == "12"
    assert grid.turned().rows[0].cells == ("96", "92", "88")
    assert len(grid.with_row("Neck").rows) == 4
    assert [row.label for row in grid.without_row(1).rows] == ["Bust", "Hip"]


def test_cells_that_cannot_be_read_are_left_empty_on_request() -> None:
    grid = ChartGrid("cm", ("10", "12"), (GridRow("Bust", ("88", "a lot")),))
    draft = read_grid(grid, catalogue=BODY_MEASURES)
    with pytest.raises(ValueError, match="a lot"):
        table_of(grid, draft)
    emptied = grid.without_unread(draft)
    table = table_of(emptied, read_grid(emptied, catalogue=BODY_MEASURES))
    assert table.lines[0].mm == (Decimal(880), None)


def test_a_pasted_chart_is_laid_out_with_its_units() -> None:
    grid = grid_of_draft(read_chart_text("Size\t10\t12\nBust (in)\t34 1/2\t36\nWaist (cm)\t70\t74"))
    assert [row.label for row in grid.rows] == ["Bust (in)", "Waist (cm)"]
    read = read_grid(grid, catalogue=BODY_MEASURES)
    assert [row.cells[0].mm for row in read.rows] == [Decimal("876.3"), Decimal(700)]


def test_steps_stand_between_sizes_and_show_declared_breaks() -> None:
    table = chart_table({"bust": ("88", "92", ""), "waist": ("70", "74", "80")})
    table = replace(table, lines=(table.lines[0], replace(table.lines[1], breaks=("14",))))
    bust, waist = page_rows(table, BODY_MEASURES)
    assert [step.mm for step in bust.steps] == [Decimal(40), None]
    assert [(step.mm, step.is_break) for step in waist.steps] == [(Decimal(40), False), (Decimal(60), True)]
    assert waist.measure is BODY_MEASURES["waist"]


def test_a_csv_in_centimetres_is_exact_and_reads_back() -> None:
    text = chart_csv(MIXED, "cm")
    assert text.splitlines()[1] == "Bust,87.63,92,"
    draft = read_chart_text(text)
    assert draft.unit == "cm"
    assert [read.mm for read in draft.rows[0].cells] == list(MIXED.lines[0].mm)


def test_a_csv_in_inches_has_the_fractions_of_a_tape() -> None:
    assert chart_csv(chart_table(unit="in"), "in").splitlines()[0] == "Measurement (in),10,12,14"
    assert exact(Decimal("876.3"), "in") == "34 1/2"
    assert exact(Decimal("0.396875"), "in") == "1/64"
    assert exact(Decimal(865), "in") == "34.055118"


@pytest.mark.parametrize("label", ["=1+1", "+cmd", "-2", "@sum", "\tx"])
def test_a_csv_holds_no_formula(label: str) -> None:
    table = ChartTable((label,), None, (ChartLine("x", label, (None,)),))
    cells = [text.strip('"') for line in chart_csv(table, "cm").splitlines() for text in line.split(",")]
    assert not [text for text in cells if text.startswith(("=", "+", "-", "@", "\t"))]

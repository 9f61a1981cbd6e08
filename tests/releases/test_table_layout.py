"""How measurement tables lie on paper: the table of docs/algorithms/measurement-tables.md."""

from __future__ import annotations

from decimal import Decimal

import pytest

from releases.table_layout import Layout, TableBlock, TableRow, Tables, lay_out, on_screen
from tests.measurements.tables import worked_table

A4, LETTER = (210.0, 297.0), (215.9, 279.4)


def tables(count: int) -> Tables:
    sizes = tuple(str(2 * i) for i in range(count))
    row = TableRow("bust", "Bust", tuple(Decimal(800 + 40 * i) for i in range(count)))
    return Tables(sizes, sizes[0], tuple(TableBlock(key, (row,)) for key in ("body", "finished", "ease")))


def said(layout: Layout) -> str:
    first = layout.sheets[0].units
    groups = [len(sheet.sizes) for sheet in layout.sheets if sheet.units == first]
    way, units = ("turned" if layout.turned else "upright"), ("both" if len(first) == 2 else "one")
    return f"{way}, {units}, {' + '.join(map(str, groups))}"


@pytest.mark.parametrize("row", worked_table("measurement-tables.md", "Which sheet"), ids=lambda row: row["sizes"])
def test_the_first_way_that_fits_is_taken(row):
    made = tables(int(row["sizes"]))
    assert said(lay_out(made, *A4)) == row["A4"]
    assert said(lay_out(made, *LETTER)) == row["Letter"]


@pytest.mark.parametrize("count", range(1, 61))
@pytest.mark.parametrize("paper", [A4, LETTER])
def test_every_size_stands_once_in_each_unit_with_its_own_values(count, paper):
    made = tables(count)
    sheets = lay_out(made, *paper).sheets
    for unit in ("cm", "in"):
        shown = [sheet for sheet in sheets if unit in sheet.units]
        assert tuple(size for sheet in shown for size in sheet.sizes) == made.sizes
        cells = [cell for sheet in shown for cell in sheet.blocks[0].rows[0].cells]
        assert cells == list(made.blocks[0].rows[0].cells)


def test_groups_differ_by_one_size_at_most():
    sheets = lay_out(tables(45), *A4).sheets
    assert [len(sheet.sizes) for sheet in sheets] == [15, 15, 15] * 2
    sheets = lay_out(tables(47), *LETTER).sheets
    assert [len(sheet.sizes) for sheet in sheets] == [16, 16, 15] * 2


def test_the_screen_has_one_table_and_may_lead_with_the_garment():
    assert [block.key for block in on_screen(tables(30)).blocks] == ["body", "finished", "ease"]
    assert [block.key for block in on_screen(tables(3), first="finished").blocks] == ["finished", "ease", "body"]

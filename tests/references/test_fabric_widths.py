"""The fabric-width chart that has gone round for decades, and the misprint in one posting of it.

Figures: data/SOURCES.md.
"""

from __future__ import annotations

import csv
import math
from fractions import Fraction
from pathlib import Path

import pytest

from measurements.fabric_widths import misprints
from tests.measurements.tables import worked_table

DATA = Path(__file__).parent / "data"
# The narrower of each head's two widths, in inches.
WIDTHS = (35, 39, 41, 44, 50, 52, 58, 66)


@pytest.fixture
def chart() -> list[list[Fraction]]:
    with (DATA / "fabric_width_conversion_yd.csv").open(encoding="utf-8", newline="") as lines:
        return [[Fraction(cell) for cell in row] for row in list(csv.reader(lines))[1:]]


def test_the_chart_falls_with_the_width_and_rises_with_the_garment(chart):
    assert (len(chart), {len(row) for row in chart}) == (12, {8})
    assert misprints(chart) == ()


def test_the_posted_misprint_is_found_and_nothing_else(chart):
    chart[0][7] = Fraction("1.875")
    (found,) = misprints(chart)
    assert (found.row, found.column, found.value) == (0, 7, Fraction("1.875"))
    assert (found.low, found.high) == (None, Fraction(1)), "7/8, as others print it, stands in order"


@pytest.mark.parametrize(
    ("row", "inches", "yards"), [(0, 44, "1.375"), (0, 58, "1"), (1, 44, "1.625"), (11, 58, "2.875")]
)
def test_single_cells(chart, row, inches, yards):
    assert chart[row][WIDTHS.index(inches)] == Fraction(yards)


def test_a_chart_of_equal_areas_would_ask_for_more_in_most_cells(chart):
    """Rounded up to 1/8 yd from the first column, by the wider of each head's widths: 54 of 84 cells are below it."""
    wider = (36, 39, 41, 45, 50, 54, 60, 66)
    below = [
        Fraction(math.ceil(8 * row[0] * wider[0] / width), 8) - cell
        for row in chart
        for cell, width in zip(row[1:], wider[1:], strict=True)
    ]
    assert (len(below), sum(short > 0 for short in below), max(below)) == (84, 54, Fraction(1, 2))


@pytest.mark.parametrize("empty", [None, Fraction(2)])
def test_a_gap_or_an_equal_cell_is_in_order(empty):
    assert misprints([[Fraction(2), empty, Fraction(2)], [Fraction(3), Fraction(2), Fraction(2)]]) == ()


def test_the_table_of_the_page():
    rows = worked_table("fabric-widths.md", "Worked example")
    widths = ("36", "45", "60", "66")
    found = misprints([[sum(map(Fraction, row[width].split()), Fraction(0)) for width in widths] for row in rows])
    told = {(one.row, widths[one.column]): f"{one.low or 'none'} and {one.high or 'none'}" for one in found}
    assert told == {(i, row["doubted"]): row["stands between"] for i, row in enumerate(rows) if row["doubted"]}

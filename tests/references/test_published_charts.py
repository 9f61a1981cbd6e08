"""Published size charts go in through the import and come out to the printed digit.

Sources: data/SOURCES.md.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from measurements.chart_draft import ChartDraft
from measurements.chart_reading import read_chart_file, read_chart_text
from measurements.length_display import BODY_STYLE, style_that_keeps

DATA = Path(__file__).parent / "data"
INCH_CHARTS = ["pattern_chart_1967_misses", "pattern_chart_1967_womens", "astm_d5585_11e1"]


def chart(name: str) -> ChartDraft:
    return read_chart_file((DATA / f"{name}.csv").read_bytes())


def printed(name: str, delimiter: str = ",") -> list[list[str]]:
    """The cells as they stand in the file, without title and size labels."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        return [row[1:] for row in list(csv.reader(lines, delimiter=delimiter))[2:]]


def mm(draft: ChartDraft, key: str) -> list[Decimal]:
    return list(draft.table().line(key).mm)


def eighths(lengths: list[Decimal]) -> list[Fraction]:
    return [Fraction(length) * 8 / Fraction("25.4") for length in lengths]


@pytest.mark.parametrize("name", INCH_CHARTS)
def test_an_inch_chart_prints_again_to_the_digit(name):
    draft = chart(name)
    assert (draft.unit, draft.unit_guessed, draft.obstacles) == ("in", False, ())
    style = style_that_keeps([], [cell.mm for row in draft.rows for cell in row.cells])
    assert [[str(style.inches(cell.mm)) for cell in row.cells] for row in draft.rows] == printed(name)
    assert style == BODY_STYLE


def test_a_metric_chart_prints_again_to_the_digit():
    draft = chart("metric_textbook")
    style = style_that_keeps([cell.mm for row in draft.rows for cell in row.cells], [])
    again = [[style.cm(cell.mm).replace(".", ",") for cell in row.cells] for row in draft.rows]
    assert again == printed("metric_textbook", ";")


@pytest.mark.parametrize("name", [*INCH_CHARTS, "metric_textbook"])
def test_a_published_chart_raises_no_doubt_about_a_cell(name):
    draft = chart(name)
    assert draft.doubtful_cells == 0
    assert [doubt.code for doubt in draft.doubts] == (["unknown_measures"] if name == "astm_d5585_11e1" else [])


def test_the_steps_of_the_astm_bust_stay_exact_eighths():
    bust = eighths(mm(chart("astm_d5585_11e1"), "bust"))
    assert [after - before for before, after in pairwise(bust)] == [5, 10, 9, 9, 8, 8, 12, 13, 14, 15, 16]
    assert bust[1:5] == [254, 264, 273, 282], "31 3/4, 33, 34 1/8, 35 1/4"


def test_the_cup_of_the_astm_chart_runs_from_minus_five_eighths_to_two_and_an_eighth():
    draft = chart("astm_d5585_11e1")
    cup = [
        bust - chest for bust, chest in zip(*(eighths(mm(draft, key)) for key in ("bust", "high_bust")), strict=True)
    ]
    assert cup == [-5, -4, -2, 0, 2, 3, 4, 6, 9, 12, 14, 17]


def test_two_waists_of_one_standard_are_kept_under_their_own_names():
    draft = chart("astm_d5585_11e1")
    assert [row.key for row in draft.rows] == ["bust", "under_bust", "high_bust", "waist_curvy", "waist_straight"]
    assert [row.known for row in draft.rows] == [True, True, True, False, False]
    assert "Waist, curvy; Waist, straight" in str(draft.doubts[0]), "said once, not beside each row"


def test_the_steps_of_the_1967_misses_chart():
    bust = eighths(mm(chart("pattern_chart_1967_misses"), "bust"))
    assert [(after - before) / 8 for before, after in pairwise(bust)] == [1, 1, Fraction(3, 2), 2, 2, 2, 2]


def test_misses_and_womens_joined_share_bust_and_hip_at_twenty_and_thirty_eight():
    misses, womens = (
        (DATA / f"pattern_chart_1967_{name}.csv").read_text(encoding="utf-8").splitlines()[1:]
        for name in ("misses", "womens")
    )
    joined = [left + "," + right.partition(",")[2] for left, right in zip(misses, womens, strict=True)]
    draft = read_chart_text("inches\n" + "\n".join(joined))
    doubted = {
        (row.key, size.label): cell.doubt.code
        for row in draft.rows
        for size, cell in zip(draft.sizes, row.cells, strict=True)
        if cell.doubt
    }
    assert doubted == {("bust", "38"): "same", ("hip", "38"): "same"}


def test_a_bust_of_88_is_88_72_96_in_the_metric_chart():
    """BSI press release, March 2002: 88-72-96 cm is one size, German 38; bust / 2 - 6: style-engineers.com, 2012."""
    draft = chart("metric_textbook")
    at = mm(draft, "bust").index(880)
    assert (mm(draft, "waist")[at], mm(draft, "hip")[at]) == (720, 960)
    assert 88 / 2 - 6 == 38

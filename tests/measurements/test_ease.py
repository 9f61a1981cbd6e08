"""Ease: finished minus body, and what a stretch fabric does to it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.ease import (
    ease_rows,
    overstretched,
    stretch_percent,
    too_little,
    worn_stretch_percent,
)
from measurements.heights import length_to_add
from tests.measurements.tables import worked_table


def table(sizes: str, **rows: str) -> ChartTable:
    """A chart in cm from words: a row `bust="92 96 -"` is silent in its third size."""

    def cells(text: str) -> tuple[ChartCell | None, ...]:
        return tuple(None if typed == "-" else ChartCell(Decimal(typed) * 10, typed, "cm") for typed in text.split())

    return ChartTable(tuple(sizes.split()), None, tuple(ChartLine(key, key, cells(text)) for key, text in rows.items()))


def test_the_table_of_the_page():
    body = table("12 14 16 18", waist="74 78 83 88")
    finished = table("12 14 16 18", waist="78 82 87 89.5")
    (row,) = ease_rows(body, finished)
    said = worked_table("ease.md", "Worked example")
    assert [line["size"] for line in said] == list(row.sizes)
    assert [(line["ease, cm"], line["of the body, %"]) for line in said] == [
        (f"{ease.mm / 10:f}".removesuffix(".0"), str(ease.percent)) for ease in row.cells
    ]
    assert too_little((row,)) == {"waist": ("18",)}


def test_the_evidence_stands_beside_the_ease():
    (row,) = ease_rows(table("12", bust="92"), table("12", bust="98"))
    assert (row.cells[0].mm, row.cells[0].finished_mm, row.cells[0].body_mm) == (60, 980, 920)


def test_sizes_are_matched_by_label_and_silence_stays_silence():
    body = table("12 14 16", bust="92 - 101", back_waist="42 42.5 43")
    finished = table("14 16 18", bust="102 107 112", back_length="43 43.5 44", sweep="120 125 130")
    bust, back = ease_rows(body, finished)
    assert [ease and ease.mm for ease in bust.cells] == [None, 60, None]
    assert (back.finished_key, back.body_key) == ("back_length", "back_waist")
    assert [ease and ease.mm for ease in back.cells] == [5, 5, None]


def test_a_garment_smaller_than_the_body_has_negative_ease():
    (row,) = ease_rows(table("14", bust="96"), table("14", bust="92.2"))
    assert (row.cells[0].mm, row.cells[0].percent) == (-38, Decimal("-4.0"))


def test_stretch_is_read_off_a_fold_of_ten_centimetres():
    assert stretch_percent(Decimal(150)) == 50


def test_worn_stretch_and_the_half_of_it_that_a_fabric_should_keep():
    worn = worn_stretch_percent(Decimal(980), Decimal(960) * Decimal("0.96"))
    assert round(worn, 1) == Decimal("6.3")
    assert overstretched(worn, Decimal(12))
    assert not overstretched(worn, Decimal(13))
    assert worn_stretch_percent(Decimal(920), Decimal(980)) == 0


@pytest.mark.parametrize("row", worked_table("ease.md", "Height and length"), ids=lambda row: row["along"])
def test_the_share_of_a_difference_in_height(row):
    added = length_to_add(Decimal(1710), Decimal(1630), row["along"])
    assert added == Decimal(row["add, cm"]) * 10

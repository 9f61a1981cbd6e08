"""A chart that prints both systems is one chart, where the two agree."""

from __future__ import annotations

from decimal import Decimal

import pytest

from measurements.chart_draft import ChartDraft
from measurements.chart_reading import read_chart_text

BOTH = "Size;6;8;10\nBust (cm);80;84;88\nBust (in);31 1/2;33;{}\nWaist (cm);62;66;70\nWaist (in);24 3/8;26;27 1/2"


def draft(last: str = "34 5/8", **more: str) -> ChartDraft:
    return read_chart_text(BOTH.format(last), **more)


@pytest.mark.parametrize(("unit", "first"), [("cm", Decimal(800)), ("in", Decimal("800.1"))])
def test_of_two_rows_that_agree_the_chosen_unit_is_the_chart(unit, first):
    read = draft(unit=unit)
    bust, waist = read.rows
    assert (bust.key, bust.unit, bust.cells[0].mm, waist.unit) == ("bust", unit, first, unit)
    assert "both_units" in [doubt.code for doubt in read.doubts]
    assert read.obstacles == ()


@pytest.mark.parametrize("last", ["35 5/8", ""])
def test_two_rows_that_differ_both_stay_and_the_size_is_named(last):
    read = draft(last)
    assert [row.key for row in read.rows] == ["bust", "bust", "waist"]
    assert [doubt.code for doubt in read.obstacles] == ["same_measure"]
    said = [str(doubt) for doubt in read.doubts if doubt.code == "units_differ"]
    assert said == [f"Bust stands here in both units, and they differ at 10: 88 cm and {last or '–'} in."]

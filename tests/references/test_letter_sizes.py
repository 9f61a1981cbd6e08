"""Letter sizes by bust girth, EN 13402-3.

Bounds 74, 82, 90, 98, 107, 119, 131 cm: rdrr.io, package Anthropometry, page bustSizesStandard. Letters from memory.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

import pytest

from measurements.letters import WOMEN_BY_BUST, letter_for_bust
from tests.measurements.tables import worked_table


@pytest.mark.parametrize("row", worked_table("letter-sizes.md", "Worked example"), ids=lambda row: row["bust, cm"])
def test_the_table_of_the_page(row):
    assert (letter_for_bust(Decimal(row["bust, cm"]) * 10) or "none") == row["letter"]


def test_the_published_bounds():
    bounds = [item.low_mm / 10 for item in WOMEN_BY_BUST[1:8]]
    assert bounds == [74, 82, 90, 98, 107, 119, 131]


def test_the_intervals_meet_and_the_lower_bound_is_in():
    for below, above in pairwise(WOMEN_BY_BUST):
        assert below.high_mm == above.low_mm
        assert letter_for_bust(above.low_mm) == above.letter
        assert letter_for_bust(above.low_mm - Decimal("0.000001")) == below.letter

"""Pages, fit to paper and test squares.

A4 210 x 297 mm: ISO 216. Letter 8 1/2 x 11 in (from memory). The scales are the quotients of the sides; a print
dialogue's "fit" takes the smaller (computed).
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from releases.print_scale import A4, LETTER, PrintScale, fit_scale, other_square


@pytest.mark.parametrize(
    ("page", "paper", "margin", "percent"),
    [(LETTER, A4, "0", "97.27"), (A4, LETTER, "0", "94.07"), (LETTER, LETTER, "6.35", "94.12"), (A4, A4, "3", "97.14"),
     (A4, A4, "4.23", "95.97"), (A4, A4, "5", "95.24"), (A4, A4, "6.35", "93.95"), (A4, A4, "0", "100.00")],
)  # fmt: skip
def test_fit_to_paper(page, paper, margin, percent):
    assert round(100 * fit_scale(page, paper, Decimal(margin)), 2) == Decimal(percent)


@pytest.mark.parametrize(
    ("percent", "decimetre", "four_inches", "half", "girth", "sewn_true"),
    [("95", "95", "96.52", "47.5", "1045", "1039"), ("97", "97", "98.552", "48.5", "1067", "1063.4")],
)
def test_what_a_scale_does(percent, decimetre, four_inches, half, girth, sewn_true):
    """A girth of 110 cm; the last figure with eight edges sewn at a true 1.5 cm."""
    scale = Decimal(percent) / 100
    printed = PrintScale(Decimal(100), Decimal(100) * scale)
    assert [side * scale for side in (Decimal(100), Decimal("101.6"), Decimal(50))] == [
        Decimal(decimetre), Decimal(four_inches), Decimal(half),
    ]  # fmt: skip
    assert printed.girth(Decimal(1100)) == Decimal(girth)
    assert printed.girth(Decimal(1100), 8, Decimal(15)) == Decimal(sewn_true)


def test_a_reading_of_a_millimetre_is_one_per_cent_on_ten_centimetres_and_two_on_five():
    assert PrintScale(Decimal(100), Decimal(100), Decimal(1)).doubt == Decimal("0.01")
    assert PrintScale(Decimal(50), Decimal(50), Decimal(1)).doubt == Decimal("0.02")


def test_ninety_five_millimetres_on_a_decimetre_take_more_than_a_size_of_four_centimetres():
    assert PrintScale(Decimal(100), Decimal(95)).girth_change(Decimal(1100)) < -40


def test_ten_centimetres_read_on_four_inches_is_a_mix_of_units_and_not_98_4_per_cent():
    assert other_square(Decimal("101.6"), Decimal(100))
    assert PrintScale(Decimal("101.6"), Decimal(100)).percent == Decimal("98.4")

"""Units and fractions that go wrong in print.

1 in = 25.4 mm by definition (international yard and pound agreement, 1959).
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from measurements.allowance_pairs import PairTable, same_allowance
from measurements.length_display import BODY_STYLE, inch_parts
from measurements.lengths import read_length


@pytest.mark.parametrize(
    ("inches", "cm"),
    [("13", "33.02"), ("2", "5.08"), ("4", "10.16"), ("1/4", "0.635"), ("3/8", "0.9525"), ("1/2", "1.27"),
     ("5/8", "1.5875"), ("1", "2.54"), ("1/64", "0.0396875")],
)  # fmt: skip
def test_inches_in_centimetres(inches, cm):
    assert read_length(inches, "in").mm == Decimal(cm) * 10


@pytest.mark.parametrize(("width", "cm"), [("36", "91.44"), ("45", "114.3"), ("54", "137.16"), ("60", "152.4")])
def test_widths_of_cloth(width, cm):
    assert read_length(width, "in").mm == Decimal(cm) * 10


def test_a_yard_is_0_9144_metres():
    """A published conversion that multiplies yards by 1.1 to get metres has it upside down."""
    assert read_length("1 yd", "cm").mm == Decimal("914.4")


@pytest.mark.parametrize(
    ("cm", "denominator", "shown"),
    [("33", 8, "13"), ("34.1", 8, "13 3/8"), ("34.1", 16, "13 7/16"), ("65.4", 8, "25 3/4"), ("64.8", 8, "25 1/2")],
)
def test_centimetres_in_fractions(cm, denominator, shown):
    """16 CFR 1615.1 prints 25.75 in beside 64.8 cm; 65.4 is the true one, so one unit must be the master."""
    assert str(inch_parts(Decimal(cm) * 10, denominator)) == shown


@pytest.mark.parametrize("typed", ["5⅝", "5 5/8", "5-5/8", "5 5⁄8"])
def test_one_fraction_in_four_notations(typed):
    assert read_length(typed, "in").mm == Decimal("142.875")


@pytest.mark.parametrize(("metric", "inches"), [("2.5", "1/4"), ("395.7", "39.37")])
def test_misprinted_equivalents_are_no_pairs(metric, inches):
    """Seen in print: 1/4 in = 0.25 cm, and 1 m = 39.57 in (39.37 is right)."""
    assert not same_allowance(Decimal(metric), read_length(inches, "in").mm)


@pytest.mark.parametrize(("inches", "partner"), [("1/4", "6 mm"), ("3/8", "1 cm"), ("5/8", "1.5 cm"), ("1", "2.5 cm")])
def test_the_partners_seen_in_print(inches, partner):
    """1.5 cm beside 5/8 in: the encyclopaedia article on seam allowance; the others are common practice."""
    assert PairTable().text(read_length(inches, "in").mm).startswith(partner)


def test_eight_edges_sewn_at_the_wrong_half_of_a_pair():
    """1.5 cm sewn for 5/8 in on eight edges makes a garment 7.0 mm wider (arithmetic)."""
    assert 8 * (read_length("5/8", "in").mm - 15) == 7


def test_a_press_release_that_rounds_inches_does_not_give_its_centimetres_back():
    """BSI, March 2002, prints 88-72-96 cm as 34-28-37 in, which is 86.4-71.1-94.0 cm."""
    back = [read_length(inches, "in").mm for inches in ("34", "28", "37")]
    assert back == [Decimal("863.6"), Decimal("711.2"), Decimal("939.8")]
    assert [str(BODY_STYLE.inches(Decimal(cm) * 10)) for cm in (88, 72, 96)] == ["34 5/8", "28 3/8", "37 3/4"]

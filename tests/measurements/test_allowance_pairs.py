"""The table of pairs: one inch value, one metric partner."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from measurements.allowance_pairs import DEFAULT_PAIRS, Pair, PairTable, pair_faults, same_allowance
from measurements.lengths import read_length

TABLE = PairTable()


@pytest.mark.parametrize(
    ("typed", "unit", "printed"),
    [
        ("3/8", "in", "1 cm (3/8 in)"),
        ("1", "cm", "1 cm (3/8 in)"),
        ("6 mm", "cm", "6 mm (1/4 in)"),
        ("5/8", "in", "1.5 cm (5/8 in)"),
        ("1 1/4", "in", "3.2 cm (1 1/4 in)"),
        ("7 mm", "cm", "0.7 cm (1/4 in)"),
    ],
)
def test_a_paired_length_keeps_its_partner_and_another_is_converted(typed, unit, printed):
    assert TABLE.text(read_length(typed, unit).mm) == printed


def test_inches_may_stand_first():
    assert TABLE.text(Decimal(20), first="in") == "3/4 in (2 cm)"


def test_the_table_of_the_house_has_no_faults():
    assert pair_faults(DEFAULT_PAIRS) == ()


def test_a_second_partner_is_a_fault_from_either_side():
    quarter = Pair(Fraction(1, 4), Decimal(6))
    for other in (Pair(Fraction(1, 4), Decimal(7)), Pair(Fraction(5, 16), Decimal(6))):
        assert [fault.code for fault in pair_faults([quarter, other])] == ["two_partners"]
    with pytest.raises(ValueError, match="another partner"):
        PairTable([quarter, Pair(Fraction(1, 4), Decimal(7))])


def test_partners_that_are_not_one_length_are_a_fault():
    assert [fault.code for fault in pair_faults([Pair(Fraction(5, 8), Decimal(10))])] == ["far_apart"]


@pytest.mark.parametrize(
    ("metric", "inches", "same"),
    [("15", "15.875", True), ("10", "15.875", False), ("320", "320.675", True), ("340", "342.9", True),
     ("20", "19.05", True), ("12", "13.1", False), ("600", "607", False), ("300", "303.2", False)],
)  # fmt: skip
def test_the_halves_of_a_pair_agree_within_their_grant(metric, inches, same):
    assert same_allowance(Decimal(metric), Decimal(inches)) is same

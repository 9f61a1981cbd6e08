"""Pairs of units in running text: what is read, what agrees, and one partner for one inch value."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.length_display import LengthStyle
from measurements.pair_check import PlacedPair, agree, check_pattern, check_texts, table_pair
from measurements.printed_pairs import find_lengths, find_pairs, read_text
from tests.measurements.tables import worked_table


@pytest.mark.parametrize("row", worked_table("printed-pairs.md", "Worked example"), ids=lambda row: row["text"])
def test_the_table_of_the_page(row):
    findings = check_texts([("Step 1", row["text"])])
    assert [finding.kind for finding in findings] == ([] if row["finding"] == "none" else [row["finding"]])
    assert [finding.proposed for finding in findings] == ([row["proposed"]] if row["proposed"] else [])


@pytest.mark.parametrize(
    ("text", "metric", "inches"),
    [
        ("1-1/2 in (38 mm)", 38, "3/2"),
        ("1½″ / 3.8 cm", 38, "3/2"),
        ("3,8cm (1 1/2inch)", 38, "3/2"),
        ("(5/8 in or 1.5 cm)", 15, "5/8"),
        ("1.5cm/5/8in seam", 15, "5/8"),
        ("13 7⁄16 in (34.1 cm)", 341, "215/16"),
        ("140 cm wide (55 in)", 1400, "55"),
        ("cut 2 in (5 cm) strips", 50, "2"),
        ("5–6 mm (1/4 in)", 6, "1/4"),
        ("Trim to 3 mm\n(1/8 inch).", 3, "1/8"),
        ('33 cm [13"]', 330, "13"),
        ("25 millimetres, about 1 inch", 25, "1"),
    ],
)  # fmt: skip
def test_a_pair_is_read_however_it_is_written(text, metric, inches):
    ((pair,), alone) = read_text(text)
    assert (pair.metric_mm, pair.inches, alone) == (metric, Fraction(inches), ())


def test_two_sizes_by_each_other_are_two_pairs():
    pairs = find_pairs("4 x 6 cm (1 1/2 x 2 3/8 in)")
    assert [(pair.metric_mm, pair.inches) for pair in pairs] == [(40, Fraction(3, 2)), (60, Fraction(19, 8))]


@pytest.mark.parametrize(
    ("text", "lengths"),
    [
        ("Cut 2 in lining, 1 in interfacing.", []),
        ("a 3-in-1 foot, 10 min, 30 m2? page 3 of 12", []),
        ("Sew 2 in from the edge", ["2 in"]),
        ("leave a 4 in opening", ["4 in"]),
        ("a 5/8-inch seam, then 1/2 in", ["5/8-inch", "1/2 in"]),
        ("1/0 in and 0 cm", []),
    ],
)
def test_counts_are_no_lengths(text, lengths):
    assert [length.text for length in find_lengths(text)] == lengths


def test_one_inch_value_keeps_one_partner_in_the_whole_pattern():
    steps = [("Step 1", "1/4 in (6 mm)"), ("Step 2", "7 mm (1/4 in)"), ("Step 5", "6 mm (1/4 in)")]
    (finding,) = check_texts(steps)
    assert (finding.kind, finding.place, finding.proposed) == ("two_partners", "Step 2", "6 mm (1/4 in)")
    assert str(finding.says) == "1/4 in stand beside 7 mm here and beside 6 mm elsewhere."


def test_a_table_and_a_step_share_the_partners():
    pair = table_pair(Decimal(16), LengthStyle())
    assert pair.text == "1.5 cm (5/8 in)"
    assert check_pattern([("Step 1", "1.6 cm (5/8 in)")], [PlacedPair("Ease, bust, 12", pair)])[0].place == "Step 1"


def test_coarse_rounding_of_a_small_length_is_told():
    """22.6 mm of ease shown to 0.5 cm and 1/8 in is 2.5 cm beside 7/8 in: 2.8 mm apart."""
    pair = table_pair(Decimal("22.6"), LengthStyle())
    assert (pair.text, agree(pair)) == ("2.5 cm (7/8 in)", False)
    assert agree(table_pair(Decimal("22.6"), LengthStyle(16, Decimal("0.1"))))


def test_rows_that_finer_numbers_tell_apart_are_listed_with_them():
    """37.2 and 37.0 cm are both 14 5/8 in to an eighth; to a sixteenth 37.0 is 14 9/16."""
    style = LengthStyle(8, Decimal("0.1"))
    placed = [PlacedPair(cm, table_pair(Decimal(cm) * 10, style), Decimal(cm) * 10) for cm in ("37.2", "37", "38")]
    (finding,) = check_pattern([], placed)
    assert (finding.kind, finding.place, finding.proposed) == ("two_partners", "37", "37 cm (14 9/16 in)")


@settings(derandomize=True, database=None, deadline=None, max_examples=200)
@given(st.text(alphabet=st.sampled_from(list('0123456789/.,-– ½⅝"()xcminydr ')), max_size=40))
def test_no_text_breaks_the_reading(text):
    for finding in check_texts([("here", text)]):
        assert str(finding.says)
        assert finding.proposed

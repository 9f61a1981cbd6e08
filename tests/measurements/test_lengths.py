"""Reading typed lengths: exact, or refused with the reason."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.lengths import LengthError, read_length
from tests.measurements.tables import worked_table


def mm(typed: str, unit: str = "cm", **how: object) -> Decimal:
    return read_length(typed, unit, **how).mm


def why(typed: str, unit: str = "cm", **how: object) -> str:
    with pytest.raises(LengthError) as error:
        read_length(typed, unit, **how)
    return error.value.code


@pytest.mark.parametrize("row", worked_table("lengths.md", "What is read"), ids=lambda row: row["typed"])
def test_the_page_reads_as_it_says(row):
    length = read_length(row["typed"], row["unit meant"])
    assert (f"{length.mm.normalize():f}", length.unit) == (row["mm"], row["shown in"])


@pytest.mark.parametrize("row", worked_table("lengths.md", "What is refused"), ids=lambda row: row["typed"])
def test_the_page_refuses_as_it_says(row):
    assert why(row["typed"]) == row["reason"]


@pytest.mark.parametrize(
    "typed",
    ["34 1/2", "34½", "34 ½", "34-1/2", "34 - 1/2", "34–1/2", '34-1/2"', '34½"', "34.5", "34,5", "34 1⁄2 in", "34 ¹⁄₂",
     "34½ inches", "34 1/2 in.", "34 1/2''", "34 1/2″", "34.5”", "34.5in", " 34 1/2 "],
)  # fmt: skip
def test_every_way_to_write_the_same_inches(typed):
    assert mm(typed, "in") == Decimal("876.3")


def test_what_was_typed_is_kept_without_its_outer_spaces():
    length = read_length("  34-1/2”  ", "cm")
    assert (length.typed, length.unit, length.stated) == ("34-1/2”", "in", True)


def test_a_bare_number_is_in_the_unit_meant_and_a_stated_unit_wins():
    assert mm("86.5", "cm") == 865
    assert mm("86.5", "mm") == Decimal("86.5")
    assert mm("86.5 cm", "in") == 865
    assert not read_length("86.5", "cm").stated


@pytest.mark.parametrize(("typed", "inches"), [("5'4\"", 64), ("5' 4 1/2\"", 64.5), ("5 ft 4 in", 64), ("5 feet", 60)])
def test_a_height_in_feet_and_inches(typed, inches):
    length = read_length(typed, "cm")
    assert (length.mm, length.unit) == (Decimal(str(inches)) * Decimal("25.4"), "in")


def test_metres_and_yards_are_kept_in_the_unit_of_their_family():
    assert (mm("1.7 m"), read_length("1.7 m", "in").unit) == (1700, "cm")
    assert (mm("1 7/8 yd"), read_length("2 yd", "cm").unit) == (Decimal("1714.5"), "in")


def test_every_sixty_fourth_of_an_inch_is_stored_exactly():
    for top in range(1, 64, 2):
        assert Fraction(mm(f"3 {top}/64", "in")) == (3 + Fraction(top, 64)) * Fraction("25.4")


def test_a_computed_spreadsheet_value_comes_back_to_the_centimetre():
    assert mm("33.0708661417323", "in") == 840


def test_a_comma_before_three_digits_needs_the_chart_to_settle_it():
    assert why("31,125", "in") == "ambiguous"
    assert mm("31,125", "in", decimal_mark=",") == Decimal("31.125") * Decimal("25.4")
    assert why("1.250", "cm", decimal_mark=",") == "ambiguous"
    assert mm("0,125", "in") == Decimal("3.175")


def test_a_change_may_carry_a_sign_a_length_may_not():
    assert mm("-1,5", signed=True) == -15
    assert mm("+1/2", "in", signed=True) == Decimal("12.7")
    assert mm("−3/8", "in", signed=True) == Decimal("-9.525")
    assert why("−1,5") == "negative"


def test_the_same_number_in_another_unit():
    assert read_length("34 1/2", "cm").as_if("in") == Decimal("876.3")
    assert read_length("865", "cm").as_if("mm") == 865


def test_a_refusal_is_one_sentence_with_the_text_in_it():
    with pytest.raises(LengthError, match=r"“34-36” holds more than one number\. Give one length\.") as error:
        read_length("34-36", "cm")
    assert error.value.sentence.text(lambda said: said.replace("Give one length", "Une seule")).endswith("Une seule.")


@pytest.mark.parametrize("typed", ["9/8", "8/8", "0/8", "34 8/8", "1/0", "1/7"])
def test_a_fraction_is_less_than_one_and_on_a_tape(typed):
    assert why(typed, "in") == "bad_fraction"


def test_a_very_long_text_is_shortened_in_its_refusal():
    with pytest.raises(LengthError) as error:
        read_length("9" * 4000, "cm")
    assert len(str(error.value)) < 120


@settings(derandomize=True, database=None, deadline=None, max_examples=400)
@given(
    text=st.one_of(
        st.text(max_size=60),
        st.text(alphabet="0123456789 .,/-'\"½⅛⁄cmin+e", max_size=20),
    ),
    unit=st.sampled_from(["mm", "cm", "in"]),
)
def test_any_text_is_a_finite_length_or_a_sentence(text, unit):
    try:
        length = read_length(text, unit)
    except LengthError as error:
        length, refused = None, str(error)
    assert 0 <= length.mm <= 100_000 if length else refused
    assert length is None or -length.mm.as_tuple().exponent == 6


@settings(derandomize=True, database=None, deadline=None)
@given(whole=st.integers(0, 200), bottom=st.sampled_from([2, 4, 8, 16, 32, 64]), data=st.data())
def test_a_fraction_reads_as_its_value(whole, bottom, data):
    top = data.draw(st.integers(1, bottom - 1))
    assert Fraction(mm(f"{whole} {top}/{bottom}", "in")) == (whole + Fraction(top, bottom)) * Fraction("25.4")

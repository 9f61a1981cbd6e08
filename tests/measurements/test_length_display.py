"""Lengths for the eye: fractions in lowest terms, steps of a centimetre, ties away from zero."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.length_display import (
    ALLOWANCE_STYLE,
    BODY_STYLE,
    HALF_CM,
    TENTH_CM,
    InchParts,
    LengthStyle,
    inch_parts,
    style_that_keeps,
)
from measurements.lengths import read_length
from measurements.sentences import Term, sentence
from tests.measurements.tables import worked_table


@pytest.mark.parametrize("row", worked_table("lengths.md", "How lengths are shown"), ids=lambda row: row["mm"])
def test_the_page_shows_as_it_says(row):
    mm = Decimal(row["mm"])
    shown = (str(inch_parts(mm, 8)), str(inch_parts(mm, 16)), BODY_STYLE.cm(mm), ALLOWANCE_STYLE.cm(mm))
    assert shown == (row["in, 1/8"], row["in, 1/16"], row["cm, 0.5"], row["cm, 0.1"])


def test_a_fraction_comes_in_parts_for_typesetting():
    assert inch_parts(Decimal("876.3")) == InchParts(34, 1, 2)
    assert inch_parts(Decimal("-9.525")) == InchParts(0, 3, 8, negative=True)
    assert inch_parts(Decimal("25.4")) == InchParts(1, 0, 1)


def test_nothing_is_minus_nothing():
    assert str(inch_parts(Decimal("-0.1"))) == "0"
    assert BODY_STYLE.cm(Decimal("-0.1")) == "0"


def test_both_systems_with_the_readers_own_first():
    assert BODY_STYLE.both(Decimal(865)) == "86.5 cm (34 in)"
    assert BODY_STYLE.both(Decimal("876.3"), first="in") == "34 1/2 in (87.5 cm)"
    assert BODY_STYLE.both(Decimal(865), first="mm") == "865 mm (34 in)"


def test_the_style_that_prints_what_was_typed():
    half, tenth = Decimal(865), Decimal(344)
    eighth, sixteenth = Decimal("25.4") / 8 * 251, Decimal("25.4") / 16
    assert style_that_keeps([half], [eighth]) == LengthStyle(8, HALF_CM)
    assert style_that_keeps([half, tenth], [sixteenth]) == LengthStyle(16, TENTH_CM)
    assert style_that_keeps([], []) == BODY_STYLE


@settings(derandomize=True, database=None, deadline=None)
@given(st.decimals(0, 3000, places=6), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_shown_fraction_is_within_half_a_step_and_reads_back(mm, denominator):
    shown = inch_parts(mm, denominator)
    back = read_length(str(shown), "in").mm
    assert abs(back - mm) * denominator * 2 <= Decimal("25.4") + Decimal("0.001")
    assert inch_parts(back, denominator) == shown


def test_a_sentence_shows_lengths_and_names_to_its_reader():
    said = sentence(
        "tight", "At the %(place)s size %(size)s leaves %(left)s.", place=Term("Waist"), size="12", left=Decimal(20)
    )
    assert str(said) == "At the waist size 12 leaves 2 cm (3/4 in)."
    words = {"Waist": "Taille", "At the %(place)s size %(size)s leaves %(left)s.": "%(place)s, %(size)s: %(left)s"}
    assert said.text(lambda text: words[text], lambda mm: BODY_STYLE.text(mm, "mm")) == "taille, 12: 20 mm"

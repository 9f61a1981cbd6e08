"""A length in a form and on a page: read exactly, shown in both systems, kept as typed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django import forms
from django.template import Context, Template

from measurements.fields import LengthInput
from measurements.lengths import Length


class OneLength(forms.Form):
    waist = LengthInput(label="Waist", required=False, least=Decimal(300), most=Decimal(2500))


def form(typed: str, unit: str = "cm") -> OneLength:
    made = OneLength({"waist": typed})
    made.fields["waist"].unit = unit
    return made


@pytest.mark.parametrize(
    ("typed", "unit", "mm"),
    [("86,5", "cm", "865"), ("34 1/2", "in", "876.3"), ("34½", "in", "876.3"), ("865 mm", "in", "865")],
)
def test_a_length_is_read_in_the_unit_of_the_person(typed: str, unit: str, mm: str) -> None:
    made = form(typed, unit)
    assert made.is_valid()
    found = made.cleaned_data["waist"]
    assert isinstance(found, Length)
    assert (found.mm, found.typed) == (Decimal(mm), typed)


def test_an_empty_field_is_no_length() -> None:
    made = form("  ")
    assert made.is_valid()
    assert made.cleaned_data["waist"] is None


@pytest.mark.parametrize(
    ("typed", "words"),
    [("about 80", "about 80"), ("5.8.2024", "is a date"), ("12", "Shorter than 30 cm"), ("30 m", "Longer than 250 cm")],
)
def test_a_doubtful_text_gets_a_sentence_and_stays_in_the_field(typed: str, words: str) -> None:
    made = form(typed)
    assert not made.is_valid()
    assert words in made.errors["waist"][0]
    assert f'value="{typed}"' in str(made["waist"])


def test_the_keypad_follows_the_unit_since_a_decimal_one_has_no_slash() -> None:
    assert 'inputmode="decimal"' in str(form("80")["waist"])
    assert 'inputmode="text"' in str(form("34 1/2", "in")["waist"])


def test_two_people_with_two_units_do_not_share_a_field() -> None:
    inches, cm = form("34", "in"), form("86")
    assert inches.is_valid()
    assert cm.is_valid()
    assert (inches.cleaned_data["waist"].mm, cm.cleaned_data["waist"].mm) == (Decimal("863.6"), Decimal(860))


def test_a_stored_length_fills_the_field_as_it_was_typed() -> None:
    made = OneLength(initial={"waist": Length(Decimal("876.3"), "34½", "in")})
    assert "34½" in str(made["waist"])


def shown(source: str, mm: Decimal | None) -> str:
    return Template("{% load lengths %}" + source).render(Context({"mm": mm}))


def test_lengths_on_a_page() -> None:
    assert shown('{{ mm|cm:"0.5" }}', Decimal(866)) == "86.5"
    assert shown('{{ mm|cm:"0.1" }}', Decimal(866)) == "86.6"
    assert shown("{{ mm|inches:8 }}", Decimal("876.3")) == (
        '<span class="num">34\u200a<span class="fr">1/2</span></span>'
    )
    assert shown("{{ mm|inches }}", Decimal("12.7")) == '<span class="num"><span class="fr">1/2</span></span>'
    assert shown("{{ mm|inches:16 }}", Decimal(0)) == '<span class="num">0</span>'
    both = shown("{% both mm %}", Decimal("863.6"))
    assert both.index("86.5 cm") < both.index('soft">')


def test_nothing_known_shows_nothing() -> None:
    assert shown("{{ mm|cm }}{{ mm|inches }}{% both mm %}", None) == ""

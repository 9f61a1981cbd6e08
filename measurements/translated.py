"""Sentences of the pure modules in the reader's language."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

from django.utils.formats import get_format
from django.utils.translation import gettext

from measurements.length_display import BODY_STYLE, LengthStyle
from measurements.sentences import Sentence, Value

_DECIMAL = re.compile(r"[-+−±]?\d+\.\d+")
# Values that repeat what somebody wrote: never turned into the reader's way of writing numbers.
AS_WRITTEN = frozenset({"typed", "version", "number", "step", "name"})


def by_locale(number: str) -> str:
    """A plain number with the decimal mark of the reader's language: 86.5 is 86,5 in French. For the eye alone."""
    return number.replace(".", str(get_format("DECIMAL_SEPARATOR")))


def both_units(style: LengthStyle, mm: Decimal, first: str = "cm") -> str:
    """A length in both systems for the reader: 86.5 cm (34 in)."""
    return by_locale(style.both(mm, first))


def in_words(sentence: Sentence, style: LengthStyle = BODY_STYLE, first: str = "cm") -> str:
    """The sentence translated, each length in it in both systems, `first` (cm or in) leading."""
    shown = replace(sentence, values=_read(sentence))
    return shown.text(gettext, lambda mm: both_units(style, mm, first))


def _read(sentence: Sentence) -> tuple[tuple[str, Value], ...]:
    """The values of a sentence, its numbers written as the reader writes them."""
    return tuple((name, value if name in AS_WRITTEN else _number(value)) for name, value in sentence.values)


def _number(value: Value) -> Value:
    if isinstance(value, Sentence):
        return replace(value, values=_read(value))
    return by_locale(value) if isinstance(value, str) and _DECIMAL.fullmatch(value) else value

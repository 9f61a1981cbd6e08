"""Sentences of the pure modules in the reader's language."""

from __future__ import annotations

from django.utils.translation import gettext

from measurements.length_display import BODY_STYLE, LengthStyle
from measurements.sentences import Sentence


def in_words(sentence: Sentence, style: LengthStyle = BODY_STYLE, first: str = "cm") -> str:
    """The sentence translated, each length in it in both systems, `first` (cm or in) leading."""
    return sentence.text(gettext, lambda mm: style.both(mm, first))

"""Lengths in templates. Every length is a Decimal in millimetres; only these filters round."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from measurements.length_display import BODY_STYLE, InchParts, LengthStyle, inch_parts, rounded
from measurements.sentences import Sentence
from measurements.translated import by_locale, in_words

register = template.Library()

# Between an inch and its fraction: hardly seen, but "34 1/2" is not read out or copied as 341/2.
HAIR = "\u200a"


@register.filter
def cm(mm: Decimal | None, step: str | Decimal = "0.5") -> str:
    """865 mm is "86.5" (French: "86,5"): one decimal, so that a column lines up; a finer step may add one."""
    if mm is None:
        return ""
    shown = rounded(mm, Decimal(step) * 10) / 10
    tenths = f"{shown:.1f}"
    return by_locale(tenths if Decimal(tenths) == shown else f"{shown.normalize():f}")


@register.filter
def inches(mm: Decimal | None, parts: int | str = 8) -> SafeString:
    """876.3 mm is "34 1/2" with the fraction set as one."""
    if mm is None:
        return mark_safe("")
    return fraction(inch_parts(mm, int(parts)))


def fraction(value: InchParts) -> SafeString:
    """An inch value as HTML; a whole number stays plain."""
    sign = "-" if value.negative else ""
    whole = str(value.whole) if value.whole or not value.numerator else ""
    if not value.numerator:
        return format_html('<span class="num">{}{}</span>', sign, whole)
    return format_html(
        '<span class="num">{}{}{}<span class="fr">{}/{}</span></span>',
        sign,
        whole,
        HAIR if whole else "",
        value.numerator,
        value.denominator,
    )


@register.simple_tag
def both(mm: Decimal | None, step: str | Decimal = "0.5", parts: int | str = 8) -> SafeString:
    """Centimetres first, inches in soft ink: "86.5 cm 34 in"."""
    if mm is None:
        return mark_safe("")
    return format_html(
        '<span class="num">{} cm</span> <span class="num soft">{} in</span>', cm(mm, step), inches(mm, parts)
    )


@register.filter
def said(sentence: Sentence | str, style: LengthStyle = BODY_STYLE) -> str:
    """A sentence of a pure module in the reader's language, with its lengths in both systems."""
    return sentence if isinstance(sentence, str) else in_words(sentence, style)

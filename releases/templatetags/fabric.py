"""Lengths of fabric as a shop sells them: metres in tenths, yards in eighths."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from measurements.length_display import InchParts, LengthStyle
from measurements.templatetags.lengths import fraction
from measurements.translated import by_locale
from releases.fabric_units import Bought

register = template.Library()

STYLE = LengthStyle()


@register.simple_tag
def metres(bought: Bought) -> SafeString:
    return format_html('<span class="num">{} m</span>', f"{bought.tenths / 10:.1f}")


@register.simple_tag
def yards(bought: Bought) -> SafeString:
    """`1 7/8 yd`, the fraction in lowest terms and set as one."""
    whole, eighths = divmod(bought.eighths, 8)
    top, bottom = eighths, 8
    while top and top % 2 == 0:
        top, bottom = top // 2, bottom // 2
    return format_html('<span class="num">{} yd</span>', fraction(InchParts(whole, top, bottom)))


@register.simple_tag
def across(mm: Decimal) -> SafeString:
    """The width of a cloth: `140 cm 55 1/8 in`, without idle zeros."""
    inch = fraction(STYLE.inches(mm))
    return format_html(
        '<span class="num">{}</span> <span class="num soft">{} in</span>', by_locale(STYLE.text(mm, "cm")), inch
    )

"""Lengths of the evidence in templates: differences keep their sign. Every length is a Decimal in millimetres."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from measurements.templatetags.lengths import cm, inches

register = template.Library()

MINUS = "−"


@register.simple_tag
def length(
    mm: Decimal | None, step: str = "0.5", parts: int = 8, *, signed: bool = False, unit: bool = False
) -> SafeString:
    """A length for a cell of a table: centimetres, then inches in soft ink; `unit` names both."""
    if mm is None:
        return format_html('<span class="soft">{}</span>', "–")
    sign = _sign(mm, step) if signed else ""
    size = abs(mm) if signed else mm
    if unit:
        return format_html(
            '<span class="num">{}{} cm</span> <span class="num soft">{}{} in</span>',
            sign, cm(size, step), sign, inches(size, parts),
        )  # fmt: skip
    return format_html(
        '<span class="num">{}{}</span> <span class="num in">{}{}</span>',
        sign,
        cm(size, step),
        sign,
        inches(size, parts),
    )


@register.filter
def signed_both(mm: Decimal) -> SafeString:
    """A change in both systems: "+2.5 cm +1 in"."""
    return length(mm, "0.1", 8, signed=True, unit=True)


@register.filter
def signed_percent(percent: float) -> str:
    """An error in per cent to one digit: "−3.0 %"."""
    return f"{'+' if percent > 0 else MINUS}{abs(percent):.1f} %"


def _sign(mm: Decimal, step: str) -> str:
    """Of what is shown: a difference that rounds to nothing has no sign."""
    if cm(abs(mm), step) == cm(Decimal(0), step):
        return ""
    return "+" if mm > 0 else MINUS

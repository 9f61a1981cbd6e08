"""The booklet's amounts in templates."""

from __future__ import annotations

from django import template

from releases.booklet import amount

register = template.Library()
register.filter("in_both", amount)

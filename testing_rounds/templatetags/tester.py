"""Fields of a tester's pages in templates."""

from __future__ import annotations

from django import template

from testing_rounds.field_html import field_html

register = template.Library()
register.simple_tag(field_html, name="field")

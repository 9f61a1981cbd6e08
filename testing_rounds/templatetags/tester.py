"""Fields of a tester's pages in templates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from django import template
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from testing_rounds.drawings import ZoneMark
from testing_rounds.field_html import field_html
from testing_rounds.templatetags.drawings import FORM, dress_form

register = template.Library()
register.simple_tag(field_html, name="field")
# Stands for the way to a question in a drawing that several testers share.
WAY = "/way-to-the-question/"
# A drawing is 20 kB. Most are asked for twice in a row, after a tap and after its save; one without marks by everybody.
DRAWINGS_KEPT = 200


@register.simple_tag
def tap_form(
    kind: str,
    view: str,
    *,
    states: Mapping[str, ZoneMark],
    selected: str,
    href: str,
    fuller: bool,
    zones: Sequence[str],
    names: Mapping[str, str],
) -> SafeString:
    """The dress form to tap; `href` ends where the key of the zone is put."""
    drawn = _drawn(
        kind, view, tuple(states.items()), selected, fuller, tuple(zones), tuple(names.items()), get_language() or ""
    )
    before, after = href.split("{zone}")
    return mark_safe(drawn.replace(WAY, before).replace("#after", after))  # noqa: S308  (an address of the app's own)


@lru_cache(maxsize=DRAWINGS_KEPT)
def _drawn(
    kind: str,
    view: str,
    states: tuple[tuple[str, ZoneMark], ...],
    selected: str,
    fuller: bool,
    zones: tuple[str, ...],
    names: tuple[tuple[str, str], ...],
    language: str,
) -> str:
    shown = dress_form(
        kind, view, prefix="tap", states=dict(states), selected=selected, href=WAY + "{zone}#after", fuller=fuller,
        zones=zones, names=dict(names),
    )  # fmt: skip
    return render_to_string(FORM, shown)

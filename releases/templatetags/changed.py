"""Changes between versions in templates."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from releases.pdf.compare import Comparison
from releases.what_changed import kind_name, ranges

register = template.Library()
register.filter("kind_name", kind_name)


@register.filter
def page_ranges(numbers: Sequence[Any]) -> str:
    """Page numbers, or things with a page, as "1–4, 7"; a dash for none."""
    return ranges([getattr(one, "page", getattr(one, "new", one)) for one in numbers]) or "–"


@register.filter
def size_run(sizes: Sequence[str], every: Sequence[str]) -> str:
    """Sizes in the order of all: "6 to 12", "6, 10", or that all are meant."""
    if list(sizes) == list(every):
        return _("all sizes")
    places = [list(every).index(size) for size in sizes if size in every]
    if len(places) > 2 and places[-1] - places[0] == len(places) - 1 == len(sizes) - 1:
        return _("%(first)s to %(last)s") % {"first": sizes[0], "last": sizes[-1]}
    return ", ".join(sizes)


@register.filter
def shift(found: Comparison) -> str:
    """How far a drawing moved on its pages: "1.7 cm right, 0.8 cm down"."""
    if found.moved_mm is None:
        return ""
    across, up = found.moved_mm
    said = []
    if across:
        way = pgettext("moved", "to the right") if across > 0 else pgettext("moved", "to the left")
        said.append(f"{abs(across) / 10:g} cm {way}")
    if up:
        way = pgettext("moved", "up") if up > 0 else pgettext("moved", "down")
        said.append(f"{abs(up) / 10:g} cm {way}")
    return ", ".join(said)


@register.filter
def marked_words(words: Sequence[tuple[str, str]]) -> SafeString:
    """Pieces of a step as text, with what went and what came marked as such."""
    tags = {"out": "<del>{}</del>", "in": "<ins>{}</ins>"}
    return format_html_join(
        "",
        "{}{}",
        ((format_html(tags.get(kind, "{}"), text.rstrip()), text[len(text.rstrip()) :]) for kind, text in words),
    )

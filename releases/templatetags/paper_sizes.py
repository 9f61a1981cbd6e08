"""Page sizes in templates."""

from __future__ import annotations

from collections.abc import Sequence

from django import template
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from releases.pdf_facts import PAPERS_MM, distinct_sizes, paper_of

register = template.Library()
# How many page sizes of one file are named before the rest is only counted.
MOST = 3


@register.filter
def page_sizes(page_mm: Sequence[Sequence[float]]) -> str:
    """ "A4 (210 × 297 mm)", or each size with how many pages have it."""
    groups = distinct_sizes([(page[0], page[1]) for page in page_mm])
    if len(groups) == 1:
        return _named(groups[0][0])
    shown = [
        ngettext("%(size)s on %(count)s page", "%(size)s on %(count)s pages", count)
        % {"size": _named(size), "count": count}
        for size, count in groups[:MOST]
    ]
    if len(groups) > MOST:
        shown.append(_("and %(count)s more sizes") % {"count": len(groups) - MOST})
    return ", ".join(shown) or "–"


def _named(size: tuple[float, float]) -> str:
    width, height = (f"{side:.0f}" for side in size)
    words = _("%(width)s × %(height)s mm") % {"width": width, "height": height}
    paper = paper_of([size])
    names = {"a4": "A4", "letter": "Letter"}
    return f"{names[paper]} ({words})" if paper in PAPERS_MM else words

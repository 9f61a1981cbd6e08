"""Drawings in templates: `{% load drawings %}`. The geometry is testing_rounds.drawings; here are the words.

Every drawing is inline SVG without style attributes and without a script, the same on a page and in a PDF.
A drawing with a title is an image of that name; without one it is decoration and the words beside it must say
the same. Marks, strokes and sizes are the dataclasses of testing_rounds.drawings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import capfirst
from django.utils.translation import gettext, pgettext

from testing_rounds import drawings
from testing_rounds.drawings import Drawing, Hop, PanelSize, PlotSize, PlotWords, Span, Stroke, ZoneMark
from testing_rounds.drawings.svg import svg
from testing_rounds.zones import CATALOGUE

register = template.Library()

PHONE = 358  # the width that a phone of 390 px leaves inside the sheet
FORM = "drawings/dress_form.svg"
PAPER = 800  # as wide a plot as still prints at 8 pt across an A4 sheet


@register.inclusion_tag(FORM)
def dress_form(
    kind: str,
    view: str,
    *,
    prefix: str,
    states: Mapping[str, ZoneMark] | None = None,
    selected: str = "",
    href: str = "",
    fuller: bool = False,
    labels: str = "all",
    side: str = "both",
    zones: Iterable[str] | None = None,
    names: Mapping[str, str] | None = None,
    title: str = "",
    paper: bool = False,
) -> dict[str, Any]:
    """One view of the dress form: {% dress_form kind="shirt" view="front" prefix="f" states=... href="#zone-{zone}" %}.

    kind: a kind of garment; view: "front" or "back"; prefix: starts every id, so that two forms share a page.
    states: {zone key: ZoneMark}; selected: the zone outlined in chalk.
    href: where a zone and its name lead, with "{zone}" for the key; empty: a picture without links.
    fuller: the form for the upper sizes (see drawings.is_fuller).
    labels: "all", "marked" (the zones in states) or "none"; side: where marked names stand, "left", "right", "both".
    zones: the keys a round asks (all of the kind); names: {key: words} instead of the catalogue's.
    paper: an SVG that the PDF engine reads on its own.
    """
    words = {key: capfirst(gettext(zone.label)) for key, zone in CATALOGUE.items()} | dict(names or {})
    view_name = {"front": gettext("Dress form, front"), "back": gettext("Dress form, back")}[view]
    form = drawings.dress_form(
        kind, view, prefix=prefix, names=words, title=title or view_name, marks=states, selected=selected, href=href,
        fuller=fuller, labels=labels, side=side, asked=zones, paper=paper,
    )  # fmt: skip
    return {"form": form}


@register.simple_tag
def stroke_cell(strokes: Sequence[Stroke], title: str = "") -> SafeString:
    """The reports of one size and zone, one stroke each: {% stroke_cell cell.strokes %}."""
    return _shown(drawings.stroke_cell(strokes, title=title))


@register.simple_tag
@cache
def stroke_key(fit: int, aside: bool = False) -> SafeString:
    """One stroke for a key: {% stroke_key -2 %} is "much, small side"."""
    return _shown(drawings.stroke_key(Stroke(fit, aside)))


@register.simple_tag
@cache
def choice_glyph(fit: int) -> SafeString:
    """The sign of one of the five answers, fit -2 to 2."""
    return _shown(drawings.choice_glyph(fit))


@register.simple_tag
@cache
def form_swatch(pole: str, strength: int) -> SafeString:
    """A piece of the form's pattern for a key: pole "small" or "large", strength 1 to 3."""
    return _shown(drawings.swatch(pole, strength))


@register.simple_tag
def panel_stack(sizes: Sequence[PanelSize], base: str = "", title: str = "", paper: bool = False) -> SafeString:
    """One brick a tester over the sizes; on a phone in as many rows as the labels need. paper: the wide one alone."""
    wide = drawings.panel_stack(sizes, base=base, title=title, css="panel-plot" if paper else "panel-plot only-wide")
    if paper:
        return _shown(wide)
    per_row = drawings.sizes_per_row([one.label for one in sizes], PHONE)
    slim = drawings.panel_stack(sizes, base=base, title=title, width=PHONE, per_row=per_row, css="panel-plot only-slim")
    return _shown(wide, slim)


@register.simple_tag
@cache
def brick_key(sort: str) -> SafeString:
    """One brick for a key: "counted", "aside" or "to_come"."""
    return _shown(drawings.brick_key(sort))


@register.simple_tag
def size_tape(sizes: Sequence[str], base: str = "", width: float = 600, title: str = "") -> SafeString:
    """The size rule alone, the base size underlined."""
    return _shown(drawings.size_tape(sizes, base=base, width=width, title=title))


@register.simple_tag
def reading_plot(sizes: Sequence[PlotSize], span: Span | None = None, base: str = "", title: str = "") -> SafeString:
    """The small plot beside a reading, 164 px wide."""
    return _shown(drawings.reading_plot(sizes, span or Span(), base=base, title=title))


@register.simple_tag
def evidence_plot(
    sizes: Sequence[PlotSize],
    low: str,
    high: str,
    span: Span | None = None,
    base: str = "",
    title: str = "",
    paper: bool = False,
) -> SafeString:
    """Every report over the sizes: the wide plot and, for a phone, the slim one. low, high: the zone's two words."""
    words, span = _plot_words(low, high), span or Span()
    if paper:
        silent = [replace(size, strokes=tuple(Stroke(one.fit, one.aside) for one in size.strokes)) for size in sizes]
        return _shown(drawings.evidence_plot(silent, words, span, base=base, title=title, width=PAPER))
    wide = drawings.evidence_plot(sizes, words, span, base=base, title=title, slim_exists=True)
    return _shown(wide, drawings.evidence_plot_slim(sizes, words, span, base=base, title=title))


@register.simple_tag
def hops(steps: Sequence[Hop], column: float = 74, title: str = "") -> SafeString:
    """Arcs between the columns of a chart, each `column` px wide: steps, breaks and slips."""
    return _shown(drawings.hops(steps, column=column, title=title))


@register.simple_tag
@cache
def hop_key(kind: str) -> SafeString:
    """One arc for a key: "step", "break" or "slip"."""
    return _shown(drawings.hop_key(kind))


def _shown(*made: Drawing) -> SafeString:
    return mark_safe("".join(map(svg, made)))  # noqa: S308  (svg escapes every word)


def _plot_words(low: str, high: str) -> PlotWords:
    much = gettext("%(pole)s, much")
    return PlotWords(
        low=low,
        high=high,
        low_much=much % {"pole": low},
        high_much=much % {"pole": high},
        fits=gettext("fits"),
        much=pgettext("a strong misfit", "much"),
        size=gettext("size"),
        counted=gettext("{k} of {n}"),
        no_report=gettext("no report"),
    )

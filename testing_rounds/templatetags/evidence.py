"""The evidence in templates: the cells of the table of sizes and zones, the marked form, lengths with their sign.

Every length is a Decimal in millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import lru_cache

from django import template
from django.template.loader import render_to_string
from django.utils import formats
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from measurements.templatetags.lengths import cm, inches
from testing_rounds.drawings import Stroke, ZoneMark, stroke_cell
from testing_rounds.drawings.curves import number
from testing_rounds.drawings.shapes import Box, Line
from testing_rounds.matrix import MatrixCell
from testing_rounds.templatetags.drawings import dress_form

register = template.Library()

MINUS = "−"


@register.simple_tag
def matrix_cells(cells: Iterable[MatrixCell], paper: object = None) -> SafeString:
    """The cells of one row. There are hundreds on a page, so they are written without a template for each."""
    drawn = _cell_on_paper if paper else _cell
    return mark_safe("".join(map(drawn, cells)))  # noqa: S308  (every part is escaped below)


def _cell(cell: MatrixCell) -> str:
    title, size, said, url = (escape(part) for part in (cell.title, cell.size, cell.said, cell.url))
    return (
        f'<td class="{cell.css}"><a href="{url}" id="{cell.id}" title="{title}" data-size="{size}">'
        f'{_strokes(cell.strokes)}<span class="{"say" if cell.loud else "vh"}">{said}</span></a></td>'
    )


def _cell_on_paper(cell: MatrixCell) -> str:
    """A cell that leads nowhere; its drawing says what the page says beside it."""
    said = escape(cell.said)
    words = f'<span class="say">{said}</span>' if cell.loud else ""
    return f'<td class="{cell.css}">{_strokes(cell.strokes, said)}{words}</td>'


@lru_cache(maxsize=4096)
def _strokes(strokes: tuple[Stroke, ...], title: str = "") -> str:
    """The drawing of a cell as short as can be: one path for all strokes of a colour, each a line as thick as it."""
    drawing = stroke_cell(strokes)
    if not drawing.shapes:
        return ""
    paths: dict[str, str] = {}
    for shape in drawing.shapes:
        if isinstance(shape, Line):
            paths[f'stroke="{shape.ink}"'] = shape.d
        elif isinstance(shape, Box) and shape.thickness:
            paint = f'fill="{shape.fill}" stroke="{shape.ink}" stroke-width="{number(shape.thickness)}"'
            wide, high = number(shape.width), number(shape.height)
            d = f"M{number(shape.x)} {number(shape.y)}h{wide}v{high}h-{wide}z"
            paths[paint] = paths.get(paint, "") + d
        elif isinstance(shape, Box):
            paint = f'stroke="{shape.fill}" stroke-width="{shape.height:.3g}"'
            d = f"M{shape.x:.3g} {shape.y + shape.height / 2:.3g}h{shape.width:.3g}"
            paths[paint] = paths.get(paint, "") + d
    drawn = "".join(f'<path d="{d}" {paint}/>' for paint, d in paths.items())
    named = f' role="img"><title>{title}</title>' if title else ' aria-hidden="true">'
    return f'<svg viewBox="{drawing.view_box}" class="{drawing.css}" preserveAspectRatio="none"{named}{drawn}</svg>'


@register.simple_tag
def marked_form(
    kind: str,
    view: str,
    marks: Mapping[str, ZoneMark],
    names: Mapping[str, str],
    href: str = "",
    *,
    fuller: bool = False,
) -> SafeString:
    """One view of the dress form with the marks of a round; `names` are the zones that it asks, by key.

    A drawing is kept by all that it depends on: a live page draws the same form again and again.
    """
    return _form(kind, view, tuple(marks.items()), tuple(names.items()), href, fuller, get_language() or "")


@lru_cache(maxsize=64)
def _form(
    kind: str,
    view: str,
    marks: tuple[tuple[str, ZoneMark], ...],
    names: tuple[tuple[str, str], ...],
    href: str,
    fuller: bool,
    language: str,
) -> SafeString:
    drawn = dress_form(
        kind,
        view,
        prefix=view,
        states=dict(marks),
        labels="marked",
        side="left" if view == "front" else "right",
        zones=dict(names),
        names=dict(names),
        href=href,
        fuller=fuller,
    )
    return render_to_string("drawings/dress_form.svg", drawn)


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
def signed_cm(mm: Decimal) -> str:
    """A change in cm to one digit, for the end of a range: "+1.5"."""
    return f"{_sign(mm, '0.1')}{cm(abs(mm), '0.1')}"


@register.filter
def signed_percent(percent: float) -> str:
    """An error in per cent to one digit: "−3.0 %"."""
    return f"{'+' if percent > 0 else MINUS}{formats.number_format(round(abs(percent), 1), 1)} %"


def _sign(mm: Decimal, step: str) -> str:
    """Of what is shown: a difference that rounds to nothing has no sign."""
    if cm(abs(mm), step) == cm(Decimal(0), step):
        return ""
    return "+" if mm > 0 else MINUS

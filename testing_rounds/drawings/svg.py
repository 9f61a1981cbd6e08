"""A drawing as SVG text. Pages hold hundreds of shapes: written here they cost a tenth of what a template would."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape
from itertools import groupby

from testing_rounds.drawings.curves import number
from testing_rounds.drawings.shapes import Box, Drawing, Line, Shape, Word

Paint = tuple[str, str, float, str]


def svg(drawing: Drawing) -> str:
    """The drawing as one `<svg>` element, every word escaped; nothing where there is nothing to see."""
    if not drawing.shapes:
        return ""
    shapes = "".join(_drawn(drawing.shapes, drawing.stretch))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{drawing.view_box}" width="{drawing.width}"'
        f' height="{drawing.height}"{_given("class", drawing.css)}'
        f"{_given('preserveAspectRatio', 'none' if drawing.stretch else '')}"
        f' font-family="Archivo, sans-serif"{_named(drawing)}{shapes}</svg>'
    )


def _named(drawing: Drawing) -> str:
    if not drawing.title:
        return ' aria-hidden="true">'
    role = "group" if drawing.leads else "img"
    return f' role="{role}"><title>{escape(drawing.title)}</title>'


def _given(name: str, value: str) -> str:
    return f' {name}="{escape(value)}"' if value else ""


def _drawn(shapes: Iterable[Shape], stretch: bool) -> Iterator[str]:
    """The shapes in their order; neighbouring boxes of one paint that say nothing of their own become one path."""
    for paint, run in groupby(shapes, key=_paint):
        some = list(run)
        boxes = [shape for shape in some if isinstance(shape, Box)]
        if paint and len(boxes) > 1:
            outline = "".join(map(_outline, boxes))
            yield f'<path d="{outline}" {_painted(boxes[0], stretch)}/>'
        else:
            yield from (_shape(shape, stretch) for shape in some)


def _paint(shape: Shape) -> Paint | None:
    if not isinstance(shape, Box) or shape.title or shape.href:
        return None
    return shape.fill, shape.ink, shape.thickness, shape.dash


def _outline(box: Box) -> str:
    wide, high = number(box.width), number(box.height)
    return f"M{number(box.x)} {number(box.y)}h{wide}v{high}h-{wide}z"


def _painted(box: Box, stretch: bool) -> str:
    fixed = ' vector-effect="non-scaling-stroke"' if stretch else ""
    edge = f"{_edge(box)}{fixed}{_given('stroke-dasharray', box.dash)}" if box.thickness else ""
    return f'fill="{box.fill}"{edge}'


def _shape(shape: Shape, stretch: bool) -> str:
    if isinstance(shape, Box):
        return _box(shape, stretch)
    return _line(shape) if isinstance(shape, Line) else _word(shape)


def _box(box: Box, stretch: bool) -> str:
    end = f"><title>{escape(box.title)}</title></rect>" if box.title else "/>"
    place = f'x="{box.x}" y="{box.y}" width="{box.width}" height="{box.height}"'
    drawn = f"<rect {place} {_painted(box, stretch)}{end}"
    return f'<a href="{escape(box.href)}" aria-label="{escape(box.title)}">{drawn}</a>' if box.href else drawn


def _line(line: Line) -> str:
    cap = f' stroke-linecap="{line.cap}" stroke-linejoin="round"' if line.cap != "butt" else ""
    edge = f"{_edge(line)}{_given('stroke-dasharray', line.dash)}{cap}" if line.thickness else ""
    return f'<path d="{line.d}" fill="{line.fill}"{edge}/>'


def _edge(shape: Box | Line) -> str:
    return f' stroke="{shape.ink}" stroke-width="{shape.thickness}"'


def _word(word: Word) -> str:
    weight = f' font-weight="{word.weight}"' if word.weight != 400 else ""
    return (
        f'<text x="{word.x}" y="{word.y}" font-size="{word.size}" fill="{word.fill}" text-anchor="{word.anchor}"'
        f"{weight}>{escape(word.text)}</text>"
    )

"""A drawing as SVG text. Pages hold hundreds of shapes: written here they cost a tenth of what a template would."""

from __future__ import annotations

from html import escape

from testing_rounds.drawings.shapes import Box, Drawing, Line, Shape, Word


def svg(drawing: Drawing) -> str:
    """The drawing as one `<svg>` element, every word escaped; nothing where there is nothing to see."""
    if not drawing.shapes:
        return ""
    shapes = "".join(_shape(shape, drawing.stretch) for shape in drawing.shapes)
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


def _shape(shape: Shape, stretch: bool) -> str:
    if isinstance(shape, Box):
        return _box(shape, stretch)
    return _line(shape) if isinstance(shape, Line) else _word(shape)


def _box(box: Box, stretch: bool) -> str:
    fixed = ' vector-effect="non-scaling-stroke"' if stretch else ""
    edge = f"{_edge(box)}{fixed}{_given('stroke-dasharray', box.dash)}" if box.thickness else ""
    end = f"><title>{escape(box.title)}</title></rect>" if box.title else "/>"
    drawn = (
        f'<rect x="{box.x}" y="{box.y}" width="{box.width}" height="{box.height}" fill="{box.fill}"{edge}{end}'
    )  # fmt: skip
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

"""A picture of a page that changed: what stayed in grey, what was in a broken line, what is now in a full one."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape

from releases.pdf.geometry import Point
from releases.pdf.marks import Drawing, Letter, Picture, Trace
from releases.pdf.matching import Difference
from releases.pdf.words import lines_of

# The inks of the app's own stylesheet.
SAME, OLD, NEW = "#7f8a84", "#9c2a12", "#1f4fb4"
_MOST_POINTS = 40_000


def picture(old: Drawing, new: Drawing, found: Difference) -> str:
    """An SVG in millimetres of the sheet."""
    width, height = max(old.width_mm, new.width_mm), max(old.height_mm, new.height_mm)
    thick = max(width, height) / 300
    changed_now = {id(mark) for mark in (*found.new_traces, *found.new_letters, *found.new_pictures)}
    same = [trace for trace in new.traces if id(trace) not in changed_now]
    same_letters = [letter for letter in new.letters if letter.seen and id(letter) not in changed_now]
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.1f} {height:.1f}" '
        f'width="{width:.1f}mm" height="{height:.1f}mm">',
        f'<rect width="{width:.1f}" height="{height:.1f}" fill="#fff" stroke="{SAME}" stroke-width="{thick:.2f}"/>',
        _lines(same, new.height_mm, f'stroke="{SAME}" stroke-width="{thick * 0.5:.2f}"'),
        _words(same_letters, new.height_mm, SAME),
        _frames(found.old_pictures, old.height_mm, f'stroke="{OLD}" stroke-width="{thick:.2f}" stroke-dasharray="2 2"'),
        _frames(found.new_pictures, new.height_mm, f'stroke="{NEW}" stroke-width="{thick:.2f}"'),
        _lines(
            found.old_traces,
            old.height_mm,
            f'stroke="{OLD}" stroke-width="{thick:.2f}" stroke-dasharray="{4 * thick:.2f} {2 * thick:.2f}"',
        ),
        _words(found.old_letters, old.height_mm, OLD, struck=True),
        _lines(found.new_traces, new.height_mm, f'stroke="{NEW}" stroke-width="{thick:.2f}"'),
        _words(found.new_letters, new.height_mm, NEW),
        "</svg>",
    ]
    return "".join(parts)


def _lines(traces: Iterable[Trace], height: float, look: str) -> str:
    left, runs = _MOST_POINTS, []
    for trace in traces:
        points = list(_thinned(trace.points))
        left -= len(points)
        if left < 0:
            break
        runs.append("M" + "L".join(f"{x:.2f} {height - y:.2f}" for x, y in points))
    return f'<path fill="none" {look} d="{"".join(runs)}"/>' if runs else ""


def _thinned(points: Iterable[Point], apart: float = 0.2) -> Iterator[Point]:
    """Points with some space between them; the last one always."""
    kept: Point | None = None
    last: Point | None = None
    for point in points:
        if kept is None or math.dist(kept, point) >= apart:
            kept = point
            yield point
        last = point
    if last is not None and last != kept:
        yield last


def _words(letters: Iterable[Letter], height: float, colour: str, *, struck: bool = False) -> str:
    """Words at their places; what is gone is struck through."""
    made = []
    held = list(letters)
    for line in lines_of(held):
        inside = [letter for letter in held if line.box[0] <= letter.x <= line.box[2] and _on(letter, line.box)]
        if not inside:
            continue
        first = min(inside, key=lambda letter: letter.x) if inside[0].turn == 0 else inside[0]
        turn = f' transform="rotate({-first.turn} {first.x:.2f} {height - first.y:.2f})"' if first.turn else ""
        strike = ' text-decoration="line-through"' if struck else ""
        made.append(
            f'<text x="{first.x:.2f}" y="{height - first.y:.2f}" font-size="{max(first.size_mm, 0.5):.2f}" '
            f'fill="{colour}" font-family="sans-serif"{turn}{strike}>{escape(_printable(line.text))}</text>'
        )
    return "".join(made)


def _on(letter: Letter, box: tuple[float, float, float, float]) -> bool:
    return box[1] <= letter.y <= box[3]


def _printable(text: str) -> str:
    return "".join(char for char in text if char.isprintable() and not "\ue000" <= char <= "\uf8ff")


def _frames(pictures: Iterable[Picture], height: float, look: str) -> str:
    runs = ["M" + "L".join(f"{x:.2f} {height - y:.2f}" for x, y in one.corners) + "Z" for one in pictures]
    return f'<path fill="none" {look} d="{"".join(runs)}"/>' if runs else ""

"""Readings over the sizes: a small plot beside a sentence, a wide one and a slim one for the evidence.

Every report is a mark. The chalk line covers the sizes of a reading; dashed, it reaches a size that has
no report and only follows the step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from testing_rounds.drawings.curves import number
from testing_rounds.drawings.lettering import text_width
from testing_rounds.drawings.palette import CHALK, EDGE, INK, INK_2, LARGE, RULE, SHEET, SHEET_2, SMALL
from testing_rounds.drawings.panel import tape
from testing_rounds.drawings.shapes import Box, Drawing, Line, Shape, Word, every, hline, vline
from testing_rounds.drawings.strokes import Stroke, bars, in_order


@dataclass(frozen=True)
class PlotSize:
    """One size of a plot: its counted complaints on either side, its counted answers, and each report."""

    label: str
    small: int = 0
    large: int = 0
    answers: int = 0
    strokes: tuple[Stroke, ...] = ()


@dataclass(frozen=True)
class Span:
    """The sizes a reading covers. `levels`, if known, is the misfit read at each size, -2 to 2 as in a stroke."""

    sizes: tuple[str, ...] = ()
    direction: int = -1
    levels: tuple[float, ...] = ()


NO_SPAN = Span()


@dataclass(frozen=True)
class PlotWords:
    """The words of a plot, already in the reader's language; `counted` has places {k} and {n}."""

    low: str
    high: str
    low_much: str
    high_much: str
    fits: str = "fits"
    much: str = "much"
    size: str = "size"
    counted: str = "{k} of {n}"
    no_report: str = "no report"


def reading_plot(sizes: Sequence[PlotSize], span: Span = NO_SPAN, *, base: str = "", title: str = "") -> Drawing:
    """The plot beside a reading, 164 wide: down is the small side, up the large side, the height the share."""
    column = 164 / len(sizes)
    axis, full = 25.6, 22.0
    shapes: list[Shape] = [Line(hline(0, axis, 164), EDGE)]
    wide = min(7.0, column * 0.62)
    for i, one in enumerate(sizes):
        x = column * (i + 0.5)
        if not one.answers:
            shapes.append(Word(round(x, 1), axis - 4, "?", 12))
        for complaints, ink, up in ((one.small, SMALL, False), (one.large, LARGE, True)):
            if complaints and one.answers:
                high = full * complaints / one.answers
                shapes.append(
                    Box(
                        round(x - wide / 2, 1),
                        round(axis - high if up else axis, 1),
                        round(wide, 1),
                        round(high, 1),
                        ink,
                    )
                )
        if one.answers and not one.small and not one.large:
            shapes.append(Line(vline(x, axis - 2, axis + 2), INK, 1.5))
    labels = [one.label for one in sizes]
    shapes += chalk(sizes, span, column, 0, 49.5, 3)
    return Drawing(164, 68, (*shapes, *_few_labels(labels, span, base, column)), title, "reading-plot")


def chalk(sizes: Sequence[PlotSize], span: Span, column: float, left: float, y: float, thickness: float) -> list[Shape]:
    """The chalk line under the sizes of a span, dashed where a size has no counted report."""
    shapes: list[Shape] = []
    for known, first, last in _runs(sizes, span):
        d = hline(left + column * first + 1, y, left + column * (last + 1) - 1)
        shapes.append(
            Line(d, CHALK, thickness)
            if known
            else Line(d, CHALK, thickness, f"{number(thickness)} {number(thickness * 1.4)}")
        )
    return shapes


def _runs(sizes: Sequence[PlotSize], span: Span) -> list[tuple[bool, int, int]]:
    """Neighbouring sizes of a span, parted where reports begin or end: (has reports, first, last)."""
    runs: list[tuple[bool, int, int]] = []
    for i, one in enumerate(sizes):
        if one.label not in span.sizes:
            continue
        known = one.answers > 0
        if runs and runs[-1][0] == known and runs[-1][2] == i - 1:
            runs[-1] = (known, runs[-1][1], i)
        else:
            runs.append((known, i, i))
    return runs


def _few_labels(labels: Sequence[str], span: Span, base: str, column: float) -> list[Shape]:
    """The sizes that matter, as far as they fit: where the span begins and ends, the base, both ends."""
    covered = [i for i, label in enumerate(labels) if label in span.sizes]
    wanted = [*covered[:1], *covered[-1:], 0, len(labels) - 1]
    if base in labels:
        wanted.append(labels.index(base))
    placed: dict[int, tuple[float, float]] = {}
    for i in wanted:
        half = text_width(labels[i], 12) / 2
        x = min(max(column * (i + 0.5), half), 164 - half)
        if all(abs(x - other) >= half + other_half + 5 for other, other_half in placed.values()):
            placed[i] = (x, half)
    words: list[Shape] = [
        Word(round(x, 1), 63, labels[i], 12, weight=600 if labels[i] == base else 400) for i, (x, _) in placed.items()
    ]
    underline = [
        Line(hline(x - half, 66.5, x + half), INK_2, 1.5) for i, (x, half) in placed.items() if labels[i] == base
    ]
    return [*words, *underline]


ROWS = {2: 28.0, 1: 74.0, 0: 120.0, -1: 166.0, -2: 212.0}
LEFT, FOOT = 118.0, 244.0


def evidence_plot(
    sizes: Sequence[PlotSize],
    words: PlotWords,
    span: Span = NO_SPAN,
    *,
    base: str = "",
    title: str = "",
    width: float = 1120,
    slim_exists: bool = False,
) -> Drawing:
    """Every report over the sizes, for a wide page, the large side above and the small side below.

    `slim_exists`: another drawing stands in for it on a phone. A narrower `width` prints larger on paper.
    """
    column = (width - LEFT) / len(sizes)
    shaded = range(1, len(sizes), 2)
    shapes: list[Shape] = [Box(round(LEFT + column * i, 1), 14, round(column, 1), FOOT - 14, SHEET_2) for i in shaded]
    names = {2: words.high_much, 1: words.high, 0: words.fits, -1: words.low, -2: words.low_much}
    for fit, y in ROWS.items():
        shapes.append(Line(hline(LEFT, y, width), RULE if fit else EDGE, 1 if fit else 1.5))
        shapes.append(Word(LEFT - 12, y + 4.5, names[fit], 13.5, INK, "end"))
    for i, one in enumerate(sizes):
        shapes += _marks(one, words, LEFT + column * (i + 0.5), column)
    shapes += _curve(sizes, span, column) if span.levels else chalk(sizes, span, column, LEFT, FOOT - 5, 4)
    shapes += tape([one.label for one in sizes], base, LEFT, width - LEFT, FOOT, 15)
    shapes += _count_row(sizes, words, span, column)
    css = "evidence-plot only-wide" if slim_exists else "evidence-plot"
    return Drawing(width, FOOT + 66, tuple(shapes), title, css)


def _marks(one: PlotSize, words: PlotWords, x: float, column: float) -> list[Shape]:
    """A size's reports, side by side at the height of their word."""
    if not one.strokes:
        fits = text_width(words.no_report, 13) <= column - 4
        return [Word(round(x, 1), 109, words.no_report if fits else "?", 13)]
    shapes: list[Shape] = []
    for fit, y in ROWS.items():
        here = [stroke for stroke in in_order(one.strokes) if stroke.fit == fit]
        pitch = min(15.0, (column - 4) / max(1, len(here)))
        wide, high = pitch * 0.67, 20.0 if fit else 6.0
        for i, stroke in enumerate(here):
            left = x + pitch * (i - len(here) / 2) + (pitch - wide) / 2
            fill = SHEET if stroke.aside else stroke.ink
            told = {"title": stroke.title, "href": stroke.href}
            shapes.append(Box(round(left, 1), y - high / 2, round(wide, 1), high, fill, stroke.ink, 1.1, **told))
    return shapes


def _curve(sizes: Sequence[PlotSize], span: Span, column: float) -> list[Shape]:
    """The misfit read at each size, solid through sizes with reports, dashed beyond them."""
    points = [(LEFT + column * (i + 0.5), ROWS[0] - level * 46) for i, level in enumerate(span.levels)]
    shapes: list[Shape] = []
    for i, (a, b) in enumerate(pairwise(points)):
        known = bool(sizes[i].answers and sizes[i + 1].answers)
        d = f"M{number(a[0])} {number(a[1])}L{number(b[0])} {number(b[1])}"
        shapes.append(Line(d, CHALK, 4 if known else 3, "" if known else "3 6", "round"))
    return shapes


def _count_row(sizes: Sequence[PlotSize], words: PlotWords, span: Span, column: float) -> list[Shape]:
    said = [_said(one, words.counted, span) for one in sizes]
    size = 13.3 if every(said, column - 6, 13.3) == 1 else 12.0
    if every(said, column - 5, size) > 1:
        said = [_said(one, "{k}/{n}", span) for one in sizes]
    pole = words.low if span.direction < 0 else words.high
    y = FOOT + 52
    heads: list[Shape] = [
        Word(LEFT - 12, FOOT + 24, words.size, 13.5, anchor="end"),
        Word(LEFT - 12, y, pole, 13.5, anchor="end"),
    ]
    return heads + [
        Word(round(LEFT + column * (i + 0.5), 1), y, text, size, INK, weight=700 if _complaints(one, span) else 400)
        for i, (one, text) in enumerate(zip(sizes, said, strict=True))
    ]


def _complaints(one: PlotSize, span: Span) -> int:
    return one.small if span.direction < 0 else one.large


def _said(one: PlotSize, counted: str, span: Span) -> str:
    return counted.format(k=_complaints(one, span), n=one.answers) if one.answers else "–"


SLIM, SEAM, BIT, TOP = 360.0, 166.0, 52.0, 40.0


def evidence_plot_slim(
    sizes: Sequence[PlotSize], words: PlotWords, span: Span = NO_SPAN, *, base: str = "", title: str = ""
) -> Drawing:
    """The same reports for a phone: a size a row, the small side left and the large side right, as in a cell."""
    heights = [max(30.0, 9.0 * len(one.strokes) + 8) for one in sizes]
    foot = TOP + sum(heights)
    shapes: list[Shape] = []
    y = TOP
    marks: list[Shape] = []
    for i, (one, height) in enumerate(zip(sizes, heights, strict=True)):
        if i % 2:
            shapes.append(Box(48, y, SLIM - 48, height, SHEET_2))
        marks += _slim_row(one, words, span, base, y, height)
        y += height
    shapes += [Line(vline(SEAM + fit * BIT, TOP, foot), RULE) for fit in (-2, -1, 1, 2)]
    shapes.append(Line(vline(SEAM, TOP, foot), EDGE, 1.5))
    return Drawing(SLIM, foot + 4, (*shapes, *_slim_heads(words), *marks), title, "evidence-plot only-slim")


def _slim_heads(words: PlotWords) -> list[Shape]:
    return [
        Word(SEAM - 1.5 * BIT + BIT / 2, 16, words.low, 13.5, SMALL, weight=600),
        Word(SEAM + 1.5 * BIT - BIT / 2, 16, words.high, 13.5, LARGE, weight=600),
        Word(SEAM, 16, words.fits, 13.5, INK, weight=600),
        Word(SEAM - 2 * BIT, 33, words.much, 12.5),
        Word(SEAM + 2 * BIT, 33, words.much, 12.5),
    ]


def _slim_row(one: PlotSize, words: PlotWords, span: Span, base: str, y: float, height: float) -> list[Shape]:
    middle = y + height / 2
    shapes: list[Shape] = [
        Word(34, middle + 5, one.label, 15, INK, "end", 600),
        Line(
            vline(48, y, y + height)
            + hline(40, y + 0.5, 48)
            + "".join(hline(44, y + height * j / 5, 48) for j in range(1, 5)),
            INK,
        ),
    ]
    if one.label == base:
        shapes.append(Line(hline(33 - text_width(base, 15), middle + 9, 35), INK, 2))
    if one.label in span.sizes:
        shapes.append(Line(vline(53, y, y + height), CHALK, 4, "" if one.answers else "4 5"))
    strong = 700 if _complaints(one, span) else 400
    said = _said(one, words.counted, span) if one.strokes else words.no_report
    shapes.append(
        Word(SLIM - 2, middle + 4.5, said, 13 if one.strokes else 12, INK if one.strokes else INK_2, "end", strong)
    )
    return shapes + bars(one.strokes, seam=SEAM, reach=BIT, top=middle - 4.5 * len(one.strokes), pitch=9)

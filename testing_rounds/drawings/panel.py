"""The size rule, and the panel stacked on it: one brick a tester."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from testing_rounds.drawings.curves import number
from testing_rounds.drawings.lettering import text_width
from testing_rounds.drawings.palette import INK, INK_2, SHEET
from testing_rounds.drawings.shapes import Box, Drawing, Line, Shape, Word, hline, shown, vline

BRICK, GAP = 12.0, 3.0


@dataclass(frozen=True)
class PanelSize:
    """The testers of one size: reports that count, whole reports set aside, reports still to come."""

    label: str
    counted: int = 0
    aside: int = 0
    to_come: int = 0
    title: str = ""

    @property
    def testers(self) -> int:
        return self.counted + self.aside + self.to_come


def tape(labels: Sequence[str], base: str, left: float, width: float, top: float, size: float = 13.5) -> list[Shape]:
    """Sizes as marks on a tape from `left`, its edge at `top`; the base size is underlined."""
    column = width / len(labels)
    minor = 5 if column >= 24 else 2 if column >= 12 else 1
    long = "".join(vline(left + column * i + 0.5, top, top + 8) for i in range(len(labels))) + vline(
        left + width - 0.5, top, top + 8
    )
    short = "".join(
        vline(left + column * (i + j / minor), top, top + 4) for i in range(len(labels)) for j in range(1, minor)
    )
    ends = (0, len(labels) - 1)
    always = (labels.index(base), *ends) if base in labels else ends
    middles = {i: left + column * (i + 0.5) for i in shown(labels, column, size, always)}
    halves = {i: text_width(labels[i], size) / 2 for i in middles}
    middles = {i: min(max(x, left + halves[i]), left + width - halves[i]) for i, x in middles.items()}
    words: list[Shape] = [
        Word(round(x, 1), top + 9 + size, labels[i], size, INK, weight=600) for i, x in middles.items()
    ]
    if base in labels:
        half, x = halves[labels.index(base)] + 1, middles[labels.index(base)]
        words.append(Line(hline(x - half, top + 12.5 + size, x + half), INK, 2))
    return [Line(hline(left, top, left + width), INK, 1.5), Line(long + short, INK, 1), *words]


def size_tape(labels: Sequence[str], *, base: str = "", width: float = 600, title: str = "") -> Drawing:
    """The size rule alone."""
    return Drawing(width, 30, tuple(tape(labels, base, 0, width, 1)), title, "tape-plot")


def panel_stack(
    sizes: Sequence[PanelSize],
    *,
    base: str = "",
    width: float = 600,
    per_row: int = 0,
    title: str = "",
    css: str = "panel-plot",
) -> Drawing:
    """Bricks on a tape, filled (counted), struck through (set aside), dashed (still to come).

    More than `per_row` sizes (0: no limit) are shared out over rows of equal length.
    """
    rows = -(-len(sizes) // per_row) if per_row else 1
    length = -(-len(sizes) // rows)
    pitch = min(BRICK + GAP, 96 / max(1, max((one.testers for one in sizes), default=1)))
    shapes: list[Shape] = []
    y = 2.0
    for start in range(0, len(sizes), length):
        row = sizes[start : start + length]
        y += pitch * max(1, *(one.testers for one in row)) + 3
        row_width = width * len(row) / length
        shapes += _bricks(row, row_width / len(row), y - 2, pitch)
        shapes += tape([one.label for one in row], base, 0, row_width, y)
        y += 34
    return Drawing(width, round(y - 2), tuple(shapes), title, css)


def sizes_per_row(labels: Sequence[str], width: float) -> int:
    """How many sizes a tape of a width holds with every label shown."""
    return max(1, int(width / (max(text_width(label, 13.5) for label in labels) + 8)))


def _bricks(row: Sequence[PanelSize], column: float, foot: float, pitch: float) -> list[Shape]:
    wide = min(20.0, column * 0.66)
    shapes: list[Shape] = []
    for i, one in enumerate(row):
        sorts = ["counted"] * one.counted + ["aside"] * one.aside + ["to_come"] * one.to_come
        for level, sort in enumerate(sorts, start=1):
            shapes += brick(
                sort,
                column * (i + 0.5) - wide / 2,
                foot - pitch * level + GAP * pitch / 15,
                wide,
                pitch * BRICK / 15,
                one.title,
            )
    return shapes


def brick(sort: str, x: float, y: float, wide: float, high: float, title: str = "") -> list[Shape]:
    """One tester: "counted", "aside" or "to_come"."""
    x, y, wide, high = (round(value, 1) for value in (x, y, wide, high))
    if sort == "counted":
        return [Box(x, y, wide, high, INK, title=title)]
    inner = (x + 0.5, y + 0.5, wide - 1, high - 1)
    if sort == "to_come":
        return [Box(*inner, SHEET, INK_2, 1, "3 2.5", title)]
    strike = f"M{number(x + 0.5)} {number(y + high - 0.5)}L{number(x + wide - 0.5)} {number(y + 0.5)}"
    return [Box(*inner, SHEET, INK, 1, title=title), Line(strike, INK, 1)]


def brick_key(sort: str) -> Drawing:
    return Drawing(20, 12, tuple(brick(sort, 0, 0, 20, 12)))

"""One stroke a report: the cell of a size and a zone, the five-way choice, and the swatches of a key.

The seam runs down the middle. Left of it the small side, right of it the large side; a short stroke is
"a bit", a long one "much"; a black tick fits; a hollow stroke is set aside.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from testing_rounds.drawings.curves import number
from testing_rounds.drawings.palette import EDGE, INK, LARGE, LARGE_WASH, LINES, SHEET, SMALL, SMALL_WASH
from testing_rounds.drawings.shapes import Box, Drawing, Line, Shape, vline

CELL_WIDTH = 52.0
# Height of a cell and the pitch of its strokes, by the number of reports it must hold.
CELL_ROWS = ((4, 26.0, 6.2), (7, 36.0, 5.0), (12, 48.0, 3.9))


@dataclass(frozen=True)
class Stroke:
    """One report in a cell: fit -2 (much, small side) to 2 (much, large side), 0 fits; set aside or counted.

    `href` is the address of the report.
    """

    fit: int
    aside: bool = False
    title: str = ""
    href: str = ""

    def __post_init__(self) -> None:
        if not -2 <= self.fit <= 2:
            raise ValueError(f"no such fit: {self.fit}")

    @property
    def ink(self) -> str:
        return SMALL if self.fit < 0 else LARGE if self.fit > 0 else INK


def in_order(strokes: Iterable[Stroke]) -> list[Stroke]:
    """Complaints first, the small side before the large and the strong before the slight; set aside last."""
    return sorted(strokes, key=lambda one: (one.aside, one.fit == 0, one.fit > 0, -abs(one.fit)))


def stroke_cell(strokes: Sequence[Stroke], *, title: str = "") -> Drawing:
    """The strokes of one size and zone, 52 units wide; up to 12 fit, more are drawn closer."""
    _, height, pitch = next((row for row in CELL_ROWS if len(strokes) <= row[0]), CELL_ROWS[-1])
    pitch = min(pitch, (height - 1.2) / max(len(strokes), 1))
    shapes = bars(strokes, seam=CELL_WIDTH / 2, reach=11.5, top=(height - pitch * len(strokes)) / 2, pitch=pitch)
    seam = Line(vline(CELL_WIDTH / 2, 0, height), EDGE)
    css = f"cell cell-{number(height)}"
    return Drawing(CELL_WIDTH, height, (seam, *shapes) if strokes else (), title, css, stretch=True)


def stroke_key(one: Stroke) -> Drawing:
    """A single stroke for a key, no wider than it must be."""
    width, seam = {-1: (26.0, 24.0), 0: (12.0, 6.0), 1: (26.0, 2.0)}[(one.fit > 0) - (one.fit < 0)]
    shapes = bars([one], seam=seam, reach=11.0, top=7, pitch=6.2)
    return Drawing(width, 20, (Line(vline(seam, 0, 20), EDGE), *shapes))


def bars(strokes: Iterable[Stroke], *, seam: float, reach: float, top: float, pitch: float) -> list[Shape]:
    """Strokes one below the other from `top`; `reach` is the length of "a bit", "much" is twice as long."""
    return [_bar(one, seam, reach, top + (i + 0.5) * pitch, pitch) for i, one in enumerate(in_order(strokes))]


def _bar(one: Stroke, seam: float, reach: float, middle: float, pitch: float) -> Box:
    width = reach * abs(one.fit) if one.fit else max(5.0, reach * 0.44)
    height = pitch * (0.68 if one.fit else 0.45)
    x = seam - width / 2 if not one.fit else seam - width if one.fit < 0 else seam
    fill, thickness = (SHEET, 0.9) if one.aside else (one.ink, 0.0)
    ink = one.ink if one.aside else "none"
    return Box(
        round(x, 2),
        round(middle - height / 2, 2),
        round(width, 2),
        round(height, 2),
        fill,
        ink,
        thickness,
        title=one.title,
        href=one.href,
    )


def choice_glyph(fit: int) -> Drawing:
    """The sign of one of the five answers: the width of the block is its strength."""
    seam = Line(vline(22, 3, 31), INK, 1.2)
    if fit == 0:
        return Drawing(44, 34, (seam, Box(18, 14, 8, 6, INK)))
    width = 19.0 if abs(fit) == 2 else 9.0
    x = 22 - width if fit < 0 else 22.0
    return Drawing(44, 34, (seam, *_lined(x, 7, width, 20, "small" if fit < 0 else "large", abs(fit) + 1, 1.5)))


def swatch(pole: str, strength: int) -> Drawing:
    """A piece of the form's pattern, for a key."""
    return Drawing(30, 20, tuple(_lined(1, 1, 28, 18, pole, strength, 1.0)), css="swatch")


def _lined(x: float, y: float, width: float, height: float, pole: str, strength: int, edge: float) -> list[Shape]:
    """A block with lines across (small side) or down (large side), drawn one by one: no pattern, no id."""
    ink, wash = (SMALL, SMALL_WASH) if pole == "small" else (LARGE, LARGE_WASH)
    thickness, pitch = LINES[strength - 1]
    length = height if pole == "small" else width
    count = max(1, int(length / pitch))
    places = [(i + 0.5) * length / count for i in range(count)]
    lines = "".join(
        f"M{number(x)} {number(y + at)}h{number(width)}"
        if pole == "small"
        else f"M{number(x + at)} {number(y)}v{number(height)}"
        for at in places
    )
    return [
        Box(x, y, width, height, wash[strength - 1]),
        Line(lines, ink, thickness),
        Box(x, y, width, height, "none", ink, edge),
    ]

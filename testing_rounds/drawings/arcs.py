"""Hops from size to size: an arc a step, thick with a double notch at a break, dashed and boxed at a slip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from testing_rounds.drawings.curves import number, path
from testing_rounds.drawings.lettering import text_width
from testing_rounds.drawings.palette import INK, STOP, STOP_WASH
from testing_rounds.drawings.shapes import Box, Drawing, Line, Shape, Word

KINDS = ("step", "break", "slip")


@dataclass(frozen=True)
class Hop:
    """The step to the next size: as written ("+4.0"), its size for the depth of the arc, and what it is."""

    text: str
    size: float
    kind: str = "step"

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"no such hop: {self.kind}")


def hops(steps: Sequence[Hop], *, column: float = 74, title: str = "") -> Drawing:
    """Arcs between the middles of columns `column` wide: one more column than steps."""
    largest = max((abs(one.size) for one in steps), default=0) or 1
    shapes: list[Shape] = []
    for i, one in enumerate(steps):
        shapes += _hop(one, column * (i + 0.5), column, 10 + 18.6 * abs(one.size) / largest)
    return Drawing(column * (len(steps) + 1), 50, tuple(shapes), title, "hops-plot")


def _hop(one: Hop, start: float, column: float, depth: float) -> list[Shape]:
    gap, bend = column * 0.068, column * 0.257
    ink, thickness, dash = {"step": (INK, 1.1, ""), "break": (INK, 3.0, ""), "slip": (STOP, 3.0, "5 3")}[one.kind]
    ends, bends = (start + gap, start + column - gap), (start + bend, start + column - bend)
    arc = path([((ends[0], 2), (bends[0], depth), (bends[1], depth), (ends[1], 2))])
    middle = round(start + column / 2, 1)
    shapes: list[Shape] = [Line(arc, ink, thickness, dash)]
    if one.kind == "slip":
        wide = text_width(one.text, 13.5) + 8
        shapes.append(Box(round(middle - wide / 2, 1), 24, round(wide, 1), 19, STOP_WASH, STOP, 1.5))
    shapes.append(Word(middle, 38, one.text, 13.5, ink, weight=400 if one.kind == "step" else 700))
    if one.kind == "break":
        shapes.append(_notches(middle, one.text, column))
    return shapes


def _notches(middle: float, text: str, column: float) -> Line:
    """The double notch, beside the number where there is room and else below it."""
    beside = middle + text_width(text, 13.5) / 2 + 3
    x, y = (beside, 29.5) if beside + 17 <= middle + column / 2 else (middle - 8.5, 42.0)
    return Line(f"M{number(x)} {number(y)}h8l-4 7zm9 0h8l-4 7z", "none", 0, fill=INK)


def hop_key(kind: str) -> Drawing:
    ink, thickness, dash = {"step": (INK, 1.1, ""), "break": (INK, 3.0, ""), "slip": (STOP, 3.0, "5 3")}[kind]
    return Drawing(40, 14, (Line("M2 1C12 13 28 13 38 1", ink, thickness, dash),))

"""The few shapes that all drawings but the form are made of; svg.py writes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from testing_rounds.drawings.curves import number
from testing_rounds.drawings.lettering import text_width
from testing_rounds.drawings.palette import INK, INK_2


@dataclass(frozen=True)
class Box:
    """A rectangle, filled or hollow; `title` is what a pointer resting on it is told, `href` where it leads."""

    x: float
    y: float
    width: float
    height: float
    fill: str = "none"
    ink: str = "none"
    thickness: float = 0
    dash: str = ""
    title: str = ""
    href: str = ""


@dataclass(frozen=True)
class Line:
    """Any path; `d` is SVG path data."""

    d: str
    ink: str = INK
    thickness: float = 1
    dash: str = ""
    cap: str = "butt"
    fill: str = "none"


@dataclass(frozen=True)
class Word:
    """A text on its baseline."""

    x: float
    y: float
    text: str
    size: float = 13.5
    fill: str = INK_2
    anchor: str = "middle"
    weight: int = 400


Shape = Box | Line | Word


@dataclass(frozen=True)
class Drawing:
    """A finished drawing. Without a title it is decoration beside words that say the same."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    title: str = ""
    css: str = ""
    stretch: bool = False

    @property
    def leads(self) -> bool:
        """Whether something in it is a link: then it is a group of things, no single picture."""
        return any(isinstance(shape, Box) and shape.href for shape in self.shapes)

    @property
    def view_box(self) -> str:
        return f"0 0 {number(self.width)} {number(self.height)}"


def hline(x: float, y: float, to: float) -> str:
    return f"M{number(x)} {number(y)}H{number(to)}"


def vline(x: float, y: float, to: float) -> str:
    return f"M{number(x)} {number(y)}V{number(to)}"


def every(labels: Sequence[str], column: float, size: float) -> int:
    """How many columns one label needs: 1 shows all, 2 every other, and so on."""
    widest = max((text_width(label, size) for label in labels), default=0) + 4
    return max(1, -int(-widest // column))


def shown(labels: Sequence[str], column: float, size: float, always: Sequence[int] = ()) -> list[int]:
    """Positions of the labels that fit along a row of columns: those of `always` first, then an even rhythm."""
    step = every(labels, column, size)
    kept = [i for i in always if 0 <= i < len(labels)]
    for i in range(0, len(labels), step):
        if all(abs(i - other) >= step for other in kept):
            kept.append(i)
    return sorted(set(kept))

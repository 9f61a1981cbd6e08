"""What is drawn on a page, as it is seen: lines, areas, letters, pictures. Millimetres from the lower left corner."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from releases.pdf.geometry import Box, Point

Colour = tuple[float | str, ...]


@dataclass(frozen=True)
class Style:
    """How a line or an area looks. `paint` is "S" for a line, "F" for an area; the layer is "" outside all layers."""

    paint: str
    colour: Colour
    width_mm: float = 0.0
    dash_mm: tuple[float, ...] = ()
    layer: str = ""


@dataclass(frozen=True)
class Trace:
    """One run of points; a closed one ends where it began."""

    style: Style
    points: list[Point]
    closed: bool
    # Which painting operator drew it: outlines that belong together have one number.
    act: int
    # Where it may be seen; of a run that was cut there a little is kept beyond. None: all of it.
    clip: Box | None = None


@dataclass(frozen=True)
class Letter:
    """A character where its baseline begins; `turn` in whole degrees, `size_mm` the height of its font."""

    text: str
    x: float
    y: float
    advance_mm: float
    size_mm: float
    turn: int
    font: str
    colour: Colour
    layer: str
    seen: bool = True
    # Whether it begins so near to where the page is cut that a hair decides whether it is seen.
    edge: bool = False


@dataclass(frozen=True)
class Picture:
    """A picture by the digest of what it holds, and its four corners."""

    digest: str
    corners: tuple[Point, Point, Point, Point]
    layer: str


@dataclass
class Drawing:
    """A page. `cut_short` says that it holds more than is looked at, or what cannot be read."""

    width_mm: float
    height_mm: float
    traces: list[Trace] = field(default_factory=list)
    letters: list[Letter] = field(default_factory=list)
    pictures: list[Picture] = field(default_factory=list)
    fonts: list[tuple[str, bool]] = field(default_factory=list)
    cut_short: str = ""
    # The letters joined to lines, once somebody asked (releases.pdf.words.page_lines).
    lines: list[Any] | None = field(default=None, repr=False, compare=False)

    @property
    def box(self) -> Box:
        return 0.0, 0.0, self.width_mm, self.height_mm

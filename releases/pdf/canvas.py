"""The graphics state of a page on its way, and the operators that change it (ISO 32000-1, 8.4)."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from releases.pdf.fonts import Font
from releases.pdf.geometry import UNCHANGED, Box, Matrix, Point, times
from releases.pdf.marks import Colour, Drawing
from releases.pdf.parts import Parts
from releases.pdf.sheet import Sheet

_MOST_STATES = 512
BLACK: Colour = (0.0, 0.0, 0.0)


@dataclass
class State:
    """The graphics state, as far as it is kept."""

    ctm: Matrix
    clip: Box
    fill: Colour = BLACK
    stroke: Colour = BLACK
    fill_space: str = "/DeviceGray"
    stroke_space: str = "/DeviceGray"
    width: float = 1.0
    dash: tuple[float, ...] = ()
    font: Font | None = None
    size: float = 1.0
    spacing: float = 0.0
    word_spacing: float = 0.0
    stretch: float = 1.0
    leading: float = 0.0
    rise: float = 0.0
    mode: int = 0


class Canvas:
    """One page that is being drawn: what every operator finds and leaves."""

    def __init__(self, parts: Parts, drawing: Drawing, sheet: Sheet) -> None:
        self.parts, self.drawing = parts, drawing
        self.state = State(sheet.matrix, (0.0, 0.0, sheet.width_mm, sheet.height_mm))
        self.states: list[State] = []
        self.layers: list[str | None] = []
        self.paths: list[tuple[list[Point], bool]] = []
        self.here: Point = (0.0, 0.0)
        self.text: Matrix = UNCHANGED
        self.line: Matrix = UNCHANGED
        self.resources: Any = {}

    @property
    def layer(self) -> str:
        return next((layer for layer in reversed(self.layers) if layer is not None), "")

    def push(self, _: list[Any]) -> None:
        if len(self.states) < _MOST_STATES:
            self.states.append(replace(self.state))

    def pop(self, _: list[Any]) -> None:
        if self.states:
            self.state = self.states.pop()

    def concat(self, o: list[Any]) -> None:
        a, b, c, d, e, f = map(float, o[-6:])
        self.state.ctm = times((a, b, c, d, e, f), self.state.ctm)

    def width(self, o: list[Any]) -> None:
        self.state.width = float(o[-1])

    def dash(self, o: list[Any]) -> None:
        self.state.dash = tuple(float(one) for one in o[-2])

    def more_state(self, o: list[Any]) -> None:
        found = self.resource("/ExtGState", o[-1])
        if "/LW" in found:
            self.state.width = float(found["/LW"])
        if "/D" in found:
            self.state.dash = tuple(float(one) for one in found["/D"][0])
        if "/Font" in found:
            self.state.font = self.parts.font(found["/Font"][0])
            self.state.size = float(found["/Font"][1])

    def resource(self, kind: str, name: str) -> Any:
        return self.resources[kind]["/" + name]

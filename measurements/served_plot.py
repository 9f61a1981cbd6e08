"""A sample of bodies over the sizes of a chart, as the geometry of a drawing: the template only writes it out.

Across the girth that chooses the size, up the one it is held against. A box is what one size reaches at both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil, floor

from measurements.length_display import inch_parts, plain
from measurements.who_is_served import REACH_MM, Scale, needs_two

Body = tuple[Decimal, Decimal]
_LEFT, _RIGHT, _TOP, _FOOT = 58.0, 34.0, 30.0, 48.0
# Labels of neighbouring sizes need so much room; beyond it every other one is left out.
_LABEL, _TICK = 25.0, 50.0
# A dot, a ring, a cross: told apart without colour.
_MARKS = {
    "one": "M{x:g} {y:g}h0",
    "two": "M{x:g} {y:g}m-2.5 0a2.5 2.5 0 1 0 5 0a2.5 2.5 0 1 0-5 0",
    "out": "M{x:g} {y:g}m-2.5-2.5l5 5m0-5l-5 5",
}
# The few bodies far from all others would press the rest together: they are drawn at the edge.
_OUTLIERS = 200


@dataclass(frozen=True)
class Box:
    """What one size reaches at both measurements."""

    label: str
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class Tick:
    """A mark on an axis: where, centimetres, inches; or a size's label alone."""

    at: float
    label: str
    inches: str = ""


@dataclass(frozen=True)
class ServedPlot:
    """The drawing. `one`, `two`, `out` are SVG path data: bodies in one size, in two, and outside the range."""

    width: float
    height: float
    left: float
    right: float
    top: float
    foot: float
    frame: Box
    boxes: tuple[Box, ...]
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    sizes_across: tuple[Tick, ...]
    sizes_up: tuple[Tick, ...]
    one: str
    two: str
    out: str


@dataclass(frozen=True)
class _Axis:
    """Millimetres to drawing units along one side."""

    low: Decimal
    high: Decimal
    start: float
    end: float

    def at(self, mm: Decimal) -> float:
        part = float((min(max(mm, self.low), self.high) - self.low) / (self.high - self.low))
        return round(self.start + part * (self.end - self.start), 1)

    def ticks(self) -> tuple[Tick, ...]:
        room = abs(self.end - self.start) / _TICK
        step = next((cm for cm in (5, 10, 20, 50) if (self.high - self.low) / (cm * 10) <= room), 100)
        first, last = ceil(self.low / 10 / step), floor(self.high / 10 / step)
        lengths = (Decimal(n * step * 10) for n in range(first, last + 1))
        return tuple(Tick(self.at(mm), plain(mm / 10), str(inch_parts(mm, 2))) for mm in lengths)

    def sizes(self, scale: Scale) -> tuple[Tick, ...]:
        shown: list[Tick] = []
        for label, mm in zip(scale.labels, scale.mm, strict=True):
            at = self.at(mm)
            if not shown or abs(at - shown[-1].at) >= max(_LABEL, 8.0 * len(label) + 6):
                shown.append(Tick(at, label))
        return tuple(shown)


def served_plot(first: Scale, last: Scale, bodies: Sequence[Body], width: float, height: float) -> ServedPlot:
    """The plot of bodies (millimetres at both measurements) over the sizes that both scales name."""
    left, right, top, foot = _LEFT, width - _RIGHT, _TOP, height - _FOOT
    x = _Axis(*_span(first, [body[0] for body in bodies]), left, right)
    y = _Axis(*_span(last, [body[1] for body in bodies]), foot, top)
    kinds: dict[str, list[str]] = {"one": [], "two": [], "out": []}
    for a, b in bodies:
        kind = _kind(first, last, a, b)
        kinds[kind].append(_MARKS[kind].format(x=x.at(a), y=y.at(b)))
    return ServedPlot(
        width, height, left, right, top, foot,
        frame=_box("", x, y, (first.low, first.high), (last.low, last.high)),
        boxes=tuple(_boxes(first, last, x, y)),
        across=x.ticks(), up=y.ticks(), sizes_across=x.sizes(first), sizes_up=y.sizes(last),
        one="".join(kinds["one"]), two="".join(kinds["two"]), out="".join(kinds["out"]),
    )  # fmt: skip


def _kind(first: Scale, last: Scale, a: Decimal, b: Decimal) -> str:
    if not (first.reaches(a) and last.reaches(b)):
        return "out"
    return "two" if needs_two(first, last, a, b) else "one"


def _boxes(first: Scale, last: Scale, x: _Axis, y: _Axis) -> list[Box]:
    at = dict(zip(last.labels, last.mm, strict=True))
    pairs = ((label, mm, at[label]) for label, mm in zip(first.labels, first.mm, strict=True) if label in at)
    return [_box(label, x, y, (a - REACH_MM, a + REACH_MM), (b - REACH_MM, b + REACH_MM)) for label, a, b in pairs]


def _box(label: str, x: _Axis, y: _Axis, across: tuple[Decimal, Decimal], up: tuple[Decimal, Decimal]) -> Box:
    left, right, foot, top = x.at(across[0]), x.at(across[1]), y.at(up[0]), y.at(up[1])
    return Box(label, left, top, round(right - left, 1), round(foot - top, 1))


def _span(scale: Scale, mm: Sequence[Decimal]) -> tuple[Decimal, Decimal]:
    """From where to where an axis runs: all sizes, and all bodies but one in 200 at either end."""
    ordered = sorted(mm)
    few = len(ordered) // _OUTLIERS
    low = min([scale.low - REACH_MM, *ordered[few : few + 1]])
    high = max([scale.high + REACH_MM, *ordered[len(ordered) - few - 1 : len(ordered) - few]])
    return low, high

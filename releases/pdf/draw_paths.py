"""Lines and areas: a path is laid, painted, and cut by (ISO 32000-1, 8.5). Clips are kept as boxes."""

from __future__ import annotations

import itertools
from typing import Any

from releases.pdf.canvas import Canvas
from releases.pdf.geometry import (
    FAR_MM,
    Box,
    Point,
    apart,
    at,
    box_of,
    common,
    contains,
    curve,
    grown,
    scale_of,
    within,
)
from releases.pdf.marks import Drawing, Style, Trace
from releases.pdf.parts import Parts
from releases.pdf.sheet import Sheet

# So much is kept beyond where a page is cut: a line that runs along the cut is then there whichever side it falls.
EDGE_MM = 0.3


class PathCanvas(Canvas):
    def __init__(self, parts: Parts, drawing: Drawing, sheet: Sheet) -> None:
        super().__init__(parts, drawing, sheet)
        self.clips = False
        self.acts = 0
        self._styles: dict[Any, Style] = {}

    def move(self, o: list[Any]) -> None:
        self.here = at(self.state.ctm, float(o[-2]), float(o[-1]))
        self.paths.append(([self.here], False))

    def line_to(self, o: list[Any]) -> None:
        point = at(self.state.ctm, float(o[-2]), float(o[-1]))
        self.open_path().append(point)
        self.here = point

    def open_path(self) -> list[Point]:
        """The run that goes on from here; after a closed one a new one begins at the same point."""
        if not self.paths or self.paths[-1][1]:
            self.paths.append(([self.here], False))
        return self.paths[-1][0]

    def curve_to(self, o: list[Any]) -> None:
        m = self.state.ctm
        a, b, c, d, e, f = map(float, o[-6:])
        self.bend(at(m, a, b), at(m, c, d), at(m, e, f))

    def curve_from_here(self, o: list[Any]) -> None:
        m = self.state.ctm
        a, b, c, d = map(float, o[-4:])
        self.bend(self.here, at(m, a, b), at(m, c, d))

    def curve_to_end(self, o: list[Any]) -> None:
        m = self.state.ctm
        a, b, c, d = map(float, o[-4:])
        self.bend(at(m, a, b), at(m, c, d), at(m, c, d))

    def bend(self, p1: Point, p2: Point, p3: Point) -> None:
        points = curve(self.here, p1, p2, p3)
        self.parts.budget.take(points=len(points))
        self.open_path().extend(points)
        self.here = p3

    def close(self, _: list[Any]) -> None:
        if self.paths and not self.paths[-1][1]:
            points = self.paths[-1][0]
            if points[-1] != points[0]:
                points.append(points[0])
            self.paths[-1] = (points, True)
            self.here = points[0]

    def rectangle(self, o: list[Any]) -> None:
        x, y, w, h = map(float, o[-4:])
        m = self.state.ctm
        corners = [at(m, x, y), at(m, x + w, y), at(m, x + w, y + h), at(m, x, y + h), at(m, x, y)]
        self.here = corners[0]
        self.paths.append((corners, True))

    def clip(self, _: list[Any]) -> None:
        self.clips = True

    def paint(self, fill: bool, stroke: bool) -> None:
        paths, self.paths = self.paths, []
        self.acts += 1
        if fill:
            self.keep(paths, self.style("F"), filled=True)
        if stroke:
            self.keep(paths, self.style("S"), filled=False)
        if self.clips:
            self.clips = False
            points = [point for points, _ in paths for point in points]
            if points:
                self.state.clip = common(self.state.clip, box_of(points))

    def style(self, paint: str) -> Style:
        s = self.state
        if paint == "F":
            key: Any = ("F", s.fill, self.layer)
        else:
            key = ("S", s.stroke, s.width, s.dash, scale_of(s.ctm), self.layer)
        if key not in self._styles:
            scale = scale_of(s.ctm)
            self._styles[key] = (
                Style("F", s.fill, layer=self.layer)
                if paint == "F"
                else Style(
                    "S",
                    s.stroke,
                    round(abs(s.width) * scale, 3),
                    tuple(round(one * scale, 2) for one in s.dash if one >= 0) if any(s.dash) else (),
                    self.layer,
                )
            )
        return self._styles[key]

    def keep(self, paths: list[tuple[list[Point], bool]], style: Style, *, filled: bool) -> None:
        """The runs, as far as the clip lets them be seen. One that lies inside is kept whole."""
        clip = self.state.clip
        if clip[2] < clip[0] or clip[3] < clip[1]:
            return
        wide = grown(clip, EDGE_MM)
        for points, closed in paths:
            if len(points) < 2:
                continue
            self.parts.budget.take(points=len(points))
            around = box_of(points)
            if not all(abs(side) < FAR_MM for side in around) or apart(around, wide):
                continue
            whole = [*points, points[0]] if filled and points[0] != points[-1] else points
            if contains(clip, around):
                self.drawing.traces.append(Trace(style, whole, closed or whole[0] == whole[-1], self.acts))
            else:
                parts = (Trace(style, part, False, self.acts, clip) for part in _inside(whole, wide))
                self.drawing.traces.extend(parts)


def _inside(points: list[Point], clip: Box) -> list[list[Point]]:
    """The parts of a run that lie in a box."""
    parts: list[list[Point]] = []
    for a, b in itertools.pairwise(points):
        part = within(a, b, clip)
        if part is None:
            continue
        if parts and parts[-1][-1] == part[0]:
            parts[-1].append(part[1])
        else:
            parts.append([part[0], part[1]])
    return parts

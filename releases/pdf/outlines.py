"""Square outlines in a drawing: closed paths, and four lines drawn apart, each once.

They may be turned, scaled or within a form: what counts is where the lines lie on the page.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from releases.pdf.geometry import Point
from releases.pdf.marks import Trace

SMALLEST_MM, LARGEST_MM = 9.0, 220.0
# An outline is a square within these: sides alike, and angles to a degree and a half.
ALIKE = 0.06
SQUARE_DEGREES = 1.5
# Lines drawn apart meet when their ends are this near; pens overshoot.
CORNER_MM = 1.5
# A line drawn as an area has two outlines this near to one another.
PEN_MM = 1.2
_MOST_SIDES = 20_000
# Sides may be drawn as curves, which come as many points.
_MOST_POINTS = 300
_SHORTEST_PART_MM = 3.0


@dataclass(frozen=True)
class Shape:
    """A square outline. `act` tells outlines of one painting operator."""

    width: float
    height: float
    centre: Point
    layer: str
    act: int

    @property
    def side(self) -> float:
        return (self.width + self.height) / 2


def square_shapes(traces: Sequence[Trace]) -> list[Shape]:
    """All square outlines of a page, each once."""
    return _distinct([*_outlines(traces), *_four_lines(traces)])


def _outlines(traces: Iterable[Trace]) -> Iterator[Shape]:
    for trace in traces:
        if 4 <= len(trace.points) <= _MOST_POINTS and (trace.closed or _meet(trace.points[0], trace.points[-1])):
            corners = _corners(trace.points)
            if len(corners) == 4 and (shape := _square(corners, trace.style.layer, trace.act)):
                yield shape


def _meet(a: Point, b: Point) -> bool:
    return math.dist(a, b) <= CORNER_MM


def _corners(points: Sequence[Point]) -> list[Point]:
    """The corners of a closed outline: points on a straight side are left out, and so is the return to the start."""
    distinct = [p for i, p in enumerate(points) if i == 0 or math.dist(p, points[i - 1]) > 0.05]
    while len(distinct) > 1 and math.dist(distinct[0], distinct[-1]) <= 0.05:
        distinct.pop()
    count = len(distinct)
    return [p for i, p in enumerate(distinct) if _turns(distinct[i - 1], p, distinct[(i + 1) % count])]


def _turns(a: Point, b: Point, c: Point) -> bool:
    """Whether the way from a over b to c bends by more than ten degrees."""
    before, after = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(c[1] - b[1], c[0] - b[0])
    return abs(math.remainder(after - before, math.tau)) > math.radians(10)


def _square(corners: Sequence[Point], layer: str, act: int) -> Shape | None:
    sides = [math.dist(corners[i], corners[(i + 1) % 4]) for i in range(4)]
    if not min(sides) >= SMALLEST_MM or max(sides) > LARGEST_MM or max(sides) > (1 + ALIKE) * min(sides):
        return None
    angles = [
        math.atan2(corners[(i + 1) % 4][1] - corners[i][1], corners[(i + 1) % 4][0] - corners[i][0]) for i in range(4)
    ]
    for i in range(4):
        bend = abs(math.remainder(angles[i] - angles[i - 1], math.tau))
        if abs(bend - math.pi / 2) > math.radians(SQUARE_DEGREES):
            return None
    first, second = (sides[0] + sides[2]) / 2, (sides[1] + sides[3]) / 2
    lies = abs(math.cos(angles[0])) >= abs(math.sin(angles[0]))
    width, height = (first, second) if lies else (second, first)
    centre = sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4
    return Shape(width, height, centre, layer, act)


def _four_lines(traces: Iterable[Trace]) -> Iterator[Shape]:
    """Squares whose sides were drawn apart: each side meets two others at its ends, at right angles."""
    sides = _joined(_straight(traces))[:_MOST_SIDES]
    ends: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for i, (a, b, _) in enumerate(sides):
        for which, point in enumerate((a, b)):
            ends[_cell(point)].append((i, which))
    seen: set[frozenset[int]] = set()
    for i, (a, b, layer) in enumerate(sides):
        length = math.dist(a, b)
        for j, c in _from(b, i, length, sides, ends):
            for k, d in _from(a, i, length, sides, ends):
                if len({i, j, k}) < 3 or abs(math.dist(c, d) - length) > max(ALIKE * length, 2 * CORNER_MM):
                    continue
                for m, e in _from(c, j, length, sides, ends):
                    four = frozenset((i, j, k, m))
                    if len(four) == 4 and four not in seen and math.dist(e, d) <= CORNER_MM:
                        seen.add(four)
                        shape = _of_sides([sides[i], sides[j], sides[m], sides[k]], layer)
                        if shape:
                            yield shape


Side = tuple[Point, Point, str]


def _cell(point: Point) -> tuple[int, int]:
    return math.floor(point[0] / 2), math.floor(point[1] / 2)


def _from(
    corner: Point, own: int, length: float, sides: Sequence[Side], ends: dict[tuple[int, int], list[tuple[int, int]]]
) -> Iterator[tuple[int, Point]]:
    """Sides about as long that begin at a corner, with their other ends."""
    x, y = _cell(corner)
    for i, which in (one for u in (x - 1, x, x + 1) for v in (y - 1, y, y + 1) for one in ends.get((u, v), ())):
        a, b, _ = sides[i]
        near, far = (a, b) if which == 0 else (b, a)
        alike = abs(math.dist(a, b) - length) <= max(ALIKE * length, 2 * CORNER_MM)
        if alike and i != own and math.dist(near, corner) <= CORNER_MM:
            yield i, far


def _of_sides(sides: Sequence[Side], layer: str) -> Shape | None:
    """The square on whose outline four sides lie, with its corners where the lines cross."""
    corners = [_crossing(sides[i - 1], sides[i]) for i in range(4)]
    if any(corner is None for corner in corners):
        return None
    return _square([corner for corner in corners if corner], layer, -1)


def _crossing(first: Side, second: Side) -> Point | None:
    (ax, ay), (bx, by), _ = first
    (cx, cy), (dx, dy), _ = second
    across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if abs(across) < 1e-6:
        return None
    t = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / across
    return ax + t * (bx - ax), ay + t * (by - ay)


def _straight(traces: Iterable[Trace]) -> list[Side]:
    """The straight sides of open runs, and lines drawn as narrow areas, as long as a test square's or a part of one."""
    found: list[Side] = []
    for trace in traces:
        if len(trace.points) > 64 or len(found) > 2 * _MOST_SIDES:
            continue
        corners = _corners(trace.points) if trace.closed else []
        if len(corners) == 4:
            found += _narrow(corners, trace.style.layer)
        elif trace.style.paint == "S":
            for a, b in itertools.pairwise(trace.points):
                if _SHORTEST_PART_MM <= math.dist(a, b) <= LARGEST_MM:
                    found.append((a, b, trace.style.layer))
    return found


def _narrow(corners: Sequence[Point], layer: str) -> list[Side]:
    """The middle line of an area that is no wider than a pen."""
    for i in (0, 1):
        a, b, c, d = (corners[(i + k) % 4] for k in range(4))
        if math.dist(a, b) <= PEN_MM and math.dist(c, d) <= PEN_MM and math.dist(b, c) >= _SHORTEST_PART_MM:
            return [(_middle(a, b), _middle(c, d), layer)]
    return []


def _middle(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def _joined(sides: Sequence[Side]) -> list[Side]:
    """Sides that go on in one line are one, so that a line of a grid is longer than its squares."""
    lines: dict[tuple[int, int, str], list[_Run]] = defaultdict(list)
    for a, b, layer in sides:
        degrees = round(math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) * 4) % 720
        cos, sin = math.cos(math.radians(degrees / 4)), math.sin(math.radians(degrees / 4))
        first, last = sorted(((x * cos + y * sin, (x, y)) for x, y in (a, b)), key=lambda end: end[0])
        across = ((a[1] + b[1]) * cos - (a[0] + b[0]) * sin) / 2
        lines[degrees, round(across * 5), layer].append((*first, *last))
    return [
        (begin, end, layer)
        for (_degrees, _step, layer), runs in lines.items()
        for low, begin, high, end in _merged(runs)
        if SMALLEST_MM - 2 <= high - low <= LARGEST_MM
    ]


_Run = tuple[float, Point, float, Point]


def _merged(runs: Iterable[_Run]) -> list[_Run]:
    merged: list[_Run] = []
    for run in sorted(runs):
        if merged and run[0] <= merged[-1][2] + 0.2:
            last = merged[-1]
            merged[-1] = (*last[:2], *(run[2:] if run[2] > last[2] else last[2:]))
        else:
            merged.append(run)
    return merged


def _distinct(shapes: Iterable[Shape]) -> list[Shape]:
    """Each square once: filled and stroked, drawn over, or both edges of a line that is drawn as an area."""
    found: list[Shape] = []
    places: dict[tuple[int, int], list[int]] = defaultdict(list)
    for shape in itertools.islice(shapes, _MOST_SIDES):
        x, y = _cell(shape.centre)
        around = [i for u in (x - 1, x, x + 1) for v in (y - 1, y, y + 1) for i in places.get((u, v), ())]
        at = next((i for i in sorted(around) if _is_again(shape, found[i])), None)
        if at is None:
            places[x, y].append(len(found))
            found.append(shape)
        elif _is_other_edge(shape, found[at]):
            known = found[at]
            width, height = (shape.width + known.width) / 2, (shape.height + known.height) / 2
            found[at] = Shape(width, height, known.centre, known.layer, known.act)
    return found


def _is_again(shape: Shape, known: Shape) -> bool:
    if math.dist(shape.centre, known.centre) > 0.6:
        return False
    return abs(shape.side - known.side) <= 0.3 or _is_other_edge(shape, known)


def _is_other_edge(shape: Shape, known: Shape) -> bool:
    """Whether both were painted at once, a pen apart."""
    return shape.act == known.act != -1 and 0.05 < abs(shape.side - known.side) <= PEN_MM

"""The test square in the drawing of a page: found by its shape and by the words beside it, and measured.

It may be a rectangle, a closed outline, four lines drawn apart, turned, scaled or within a form: what counts is where
the lines lie on the page. Method, table and limits: docs/algorithms/pdf-facts.md.
"""

from __future__ import annotations

import itertools
import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from releases.pdf.geometry import Point
from releases.pdf.marks import Drawing, Trace
from releases.pdf.words import Line

INCH = 25.4
# Sides of test squares in use (common practice, no source).
NOMINAL_MM = (
    25.0,
    INCH,
    30.0,
    40.0,
    50.0,
    2 * INCH,
    60.0,
    3 * INCH,
    80.0,
    100.0,
    4 * INCH,
    120.0,
    150.0,
    6 * INCH,
    200.0,
)
# Unlabelled, a square counts when it is this near to one of the usual sides: fitting a page to another paper shrinks
# it by 2.7 to 6 % (docs/algorithms/print-scale.md).
NEAR = 0.065
# Named by words beside it, it may be off by more.
NEAR_NAMED = 0.15
USUAL_MM = (INCH, 30.0, 50.0, 2 * INCH, 3 * INCH, 100.0, 4 * INCH)
SMALLEST_MM, LARGEST_MM = 9.0, 220.0
# An outline is a square within these: sides alike, and angles to a degree and a half.
ALIKE = 0.06
SQUARE_DEGREES = 1.5
# Lines drawn apart meet when their ends are this near; pens overshoot.
CORNER_MM = 1.5
# A line drawn as an area has two outlines this near to one another.
PEN_MM = 1.2
# Words stand within this of the square that they name.
BESIDE_MM = 30.0
# More squares alike on one page are a grid or a rule, no test square.
MOST_ALIKE = 4
_MOST_SIDES = 20_000
# Sides may be drawn as curves, which come as many points.
_MOST_POINTS = 300
_SHORTEST_PART_MM = 3.0

_NAMED = re.compile(
    r"test\s*(?:square|box)|(?:scale|print|size|gauge|control|check)\s*(?:square|box|check|test)|calibrat|"
    r"(?:square|box)\s+(?:should|must)\s+(?:be|measure)|this\s+(?:square|box)|testquadrat|kontrollquadrat|"
    r"carr[ée]\s+(?:de\s+)?(?:test|contr[ôo]le)|cuadrado\s+de\s+(?:prueba|control)",
    re.IGNORECASE,
)
# What stands in a pattern piece, and in no test square.
_OF_A_PIECE = re.compile(
    r"\bcut\s*(?:\d|on|one|two|a\s+pair|×|x)|\b(?:on|place\s+to)\s+(?:the\s+)?fold\b|\bgrain(?:line)?\b|\bpockets?\b|"
    r"\bpatch(?:es)?\b|\bfacings?\b|\bgussets?\b|\bflaps?\b|\bpiece\s+(?:no\.?\s*)?\d|\bseam\s+allowance|\blining\b",
    re.IGNORECASE,
)
# Words that do little more than give a length: "10 cm x 10 cm", "4 in / 10 cm", "scale 10 cm".
_MOST_WORDS, LABEL_MM = 8, 10.0
_LENGTH = re.compile(
    r"(\d+(?:[.,]\d+)?)(?:\s*(?:[x×by]{1,2}|times)\s*\d+(?:[.,]\d+)?)?\s*(cm|mm|centimet\w+|millimet\w+|inch\w*|in\b|[\"″”])",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Square:
    """A test square: its sides across and down in mm, what they are meant to be, and what words say of it.

    `named`: they call it a test square; `labelled`: they give its length alone.
    """

    width_mm: float
    height_mm: float
    nominal_mm: float
    centre: Point
    named: bool
    layer: str = ""
    labelled: bool = False

    @property
    def side_mm(self) -> float:
        return (self.width_mm + self.height_mm) / 2


@dataclass(frozen=True)
class _Shape:
    """A square outline. `act` tells outlines of one painting operator."""

    width: float
    height: float
    centre: Point
    layer: str
    act: int

    @property
    def side(self) -> float:
        return (self.width + self.height) / 2


def squares_of(drawing: Drawing, lines: Sequence[Line]) -> list[Square]:
    """The test squares of a page. Those that words name stand alone, else those whose length stands beside them;
    without such words, whatever could be one."""
    traces = [trace for trace in drawing.traces if not _unseen(trace)]
    shapes = _distinct([*_outlines(traces), *_four_lines(traces)])
    free = [shape for shape in shapes if not _of_a_piece(shape, lines)]
    return _twins(_named(shapes, lines) or _labelled(free, lines) or _bare(free))


def _unseen(trace: Trace) -> bool:
    """White on a white sheet: what lies under words, or takes the inside out of an area."""
    colour = trace.style.colour
    return len(colour) == 3 and all(isinstance(one, float) and one >= 0.99 for one in colour)


def _of_a_piece(shape: _Shape, lines: Iterable[Line]) -> bool:
    return any(_OF_A_PIECE.search(line.text) and _apart(shape, line) == 0 for line in lines)


def nearest(side: float, nominal: Iterable[float], within: float) -> float | None:
    """The nominal side that is nearest by share, if it is near at all."""
    best = min(nominal, key=lambda one: abs(side / one - 1))
    return best if abs(side / best - 1) <= within else None


# Shapes


def _outlines(traces: Iterable[Trace]) -> Iterator[_Shape]:
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


def _square(corners: Sequence[Point], layer: str, act: int) -> _Shape | None:
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
    return _Shape(width, height, centre, layer, act)


def _four_lines(traces: Iterable[Trace]) -> Iterator[_Shape]:
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


def _of_sides(sides: Sequence[Side], layer: str) -> _Shape | None:
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


def _distinct(shapes: Iterable[_Shape]) -> list[_Shape]:
    """Each square once: filled and stroked, drawn over, or both edges of a line that is drawn as an area."""
    found: list[_Shape] = []
    for shape in shapes:
        for i, known in enumerate(found):
            if math.dist(shape.centre, known.centre) > 0.6:
                continue
            apart = abs(shape.side - known.side)
            if shape.act == known.act != -1 and 0.05 < apart <= PEN_MM:
                width, height = (shape.width + known.width) / 2, (shape.height + known.height) / 2
                found[i] = _Shape(width, height, known.centre, known.layer, known.act)
                break
            if apart <= 0.3:
                break
        else:
            found.append(shape)
    return found


def _bare(shapes: Sequence[_Shape]) -> list[Square]:
    """Squares of a usual side without a word; of those around one centre, the ones that are right, if any is."""
    alike = Counter(round(shape.side * 2) for shape in shapes)
    found = [
        Square(shape.width, shape.height, nominal, shape.centre, named=False, layer=shape.layer)
        for shape in shapes
        if alike[round(shape.side * 2)] <= MOST_ALIKE and (nominal := nearest(shape.side, USUAL_MM, NEAR))
    ]
    right = [one for one in found if abs(one.side_mm - one.nominal_mm) <= 0.3]
    return [one for one in found if one in right or not any(math.dist(one.centre, ok.centre) <= 2 for ok in right)]


# Words


def _named(shapes: Sequence[_Shape], lines: Sequence[Line]) -> list[Square]:
    """Squares beside words such as "test square", each with the length that the words give it."""
    found: dict[int, Square] = {}
    for line in lines:
        if not _NAMED.search(line.text):
            continue
        near = sorted(
            (apart, shape.side, i) for i, shape in enumerate(shapes) if (apart := _apart(shape, line)) <= BESIDE_MM
        )
        lengths = _lengths_near(line, lines)
        chosen: list[Square] = []
        for _distance, _side, i in near:
            shape = shapes[i]
            said = nearest(shape.side, lengths, NEAR_NAMED) if lengths else nearest(shape.side, NOMINAL_MM, NEAR)
            if said and _belongs(shape, said, chosen, lengths):
                square = Square(shape.width, shape.height, said, shape.centre, named=True, layer=shape.layer)
                chosen.append(square)
                found[i] = square
    return list(found.values())


def _labelled(shapes: Sequence[_Shape], lines: Sequence[Line]) -> list[Square]:
    """Squares with little more than their own length written in or at them."""
    found = []
    for shape in shapes:
        near = (one for one in lines if len(one.text.split()) <= _MOST_WORDS and _apart(shape, one) <= LABEL_MM)
        lengths = [length for one in near if not _OF_A_PIECE.search(one.text) for length in _lengths(one.text)]
        said = nearest(shape.side, lengths, NEAR_NAMED) if lengths else None
        if said:
            found.append(Square(shape.width, shape.height, said, shape.centre, False, shape.layer, labelled=True))
    exact = [one for one in found if abs(one.side_mm - one.nominal_mm) <= 0.3]
    return [one for one in found if one in exact or one.nominal_mm not in {ok.nominal_mm for ok in exact}]


def _belongs(shape: _Shape, said: float, chosen: Sequence[Square], lengths: Sequence[float]) -> bool:
    """Words name the nearest square; another one too where it is its twin, or has a length of its own among them."""
    if not chosen:
        return True
    if any(_is_twin(shape.side, one.side_mm) or _is_twin(one.side_mm, shape.side) for one in chosen):
        return True
    return bool(lengths) and said not in {one.nominal_mm for one in chosen}


def _is_twin(large: float, small: float) -> bool:
    return abs(large / small / (4 * INCH / 100) - 1) < 0.004


def _twins(squares: list[Square]) -> list[Square]:
    """Where two squares differ as 4 in and 10 cm do, the larger is the inch square, at whatever scale both are."""
    made = list(squares)
    for small in squares:
        for i, large in enumerate(squares):
            if _is_twin(large.side_mm, small.side_mm):
                metric = nearest(small.side_mm, (50.0, 100.0, 150.0), NEAR_NAMED)
                if metric:
                    made[squares.index(small)] = replace(small, nominal_mm=metric)
                    made[i] = replace(large, nominal_mm=metric / 25 * INCH)
    return made


def _apart(shape: _Shape, line: Line) -> float:
    """How far words stand from a square; nothing for words inside it."""
    half_w, half_h = shape.width / 2, shape.height / 2
    (x, y), (left, bottom, right, top) = shape.centre, line.box
    return math.hypot(max(0.0, left - x - half_w, x - half_w - right), max(0.0, bottom - y - half_h, y - half_h - top))


def _lengths_near(line: Line, lines: Sequence[Line]) -> list[float]:
    """The lengths that the words give, in mm; else those of the lines around them."""
    own = _lengths(line.text)
    if own:
        return own
    left, bottom, right, top = line.box
    reach = 3 * (top - bottom)
    close = (
        other
        for other in lines
        if other.box[0] < right + reach
        and other.box[2] > left - reach
        and other.box[1] < top + reach
        and other.box[3] > bottom - reach
    )
    return [length for other in close for length in _lengths(other.text)]


def _lengths(text: str) -> list[float]:
    found = []
    for number, unit in _LENGTH.findall(text):
        value, kind = float(number.replace(",", ".")), unit.lower()
        scale = 10.0 if kind.startswith("c") else 1.0 if kind.startswith("m") else INCH
        if SMALLEST_MM <= value * scale <= LARGEST_MM:
            found.append(value * scale)
    return found

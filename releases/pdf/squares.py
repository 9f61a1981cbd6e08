"""The test square in the drawing of a page: found by its shape and by the words beside it, and measured.

The outlines come from releases.pdf.outlines. Method, table and limits: docs/algorithms/pdf-facts.md.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from releases.pdf.geometry import Point
from releases.pdf.marks import Drawing, Trace
from releases.pdf.outlines import LARGEST_MM, SMALLEST_MM, Shape, square_shapes
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
# Words stand within this of the square that they name.
BESIDE_MM = 30.0
# More squares alike on one page are a grid or a rule, no test square.
MOST_ALIKE = 4


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


def squares_of(drawing: Drawing, lines: Sequence[Line]) -> list[Square]:
    """The test squares of a page. Those that words name stand alone, else those whose length stands beside them;
    without such words, whatever could be one."""
    traces = [trace for trace in drawing.traces if not _unseen(trace)]
    shapes = square_shapes(traces)
    words = [line for line in lines if _OF_A_PIECE.search(line.text)]
    free = [shape for shape in shapes if not any(_apart(shape, line) == 0 for line in words)]
    return _twins(_named(shapes, lines) or _labelled(free, lines) or _bare(free))


def _unseen(trace: Trace) -> bool:
    """White on a white sheet: what lies under words, or takes the inside out of an area."""
    colour = trace.style.colour
    return len(colour) == 3 and all(isinstance(one, float) and one >= 0.99 for one in colour)


def nearest(side: float, nominal: Iterable[float], within: float) -> float | None:
    """The nominal side that is nearest by share, if it is near at all."""
    best = min(nominal, key=lambda one: abs(side / one - 1))
    return best if abs(side / best - 1) <= within else None


def _bare(shapes: Sequence[Shape]) -> list[Square]:
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


def _named(shapes: Sequence[Shape], lines: Sequence[Line]) -> list[Square]:
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


def _labelled(shapes: Sequence[Shape], lines: Sequence[Line]) -> list[Square]:
    """Squares with little more than their own length written in or at them."""
    labels = [
        (line, lengths)
        for line in lines
        if len(line.text.split()) <= _MOST_WORDS
        and not _OF_A_PIECE.search(line.text)
        and (lengths := _lengths(line.text))
    ]
    found = []
    for shape in shapes:
        near = [length for line, lengths in labels if _apart(shape, line) <= LABEL_MM for length in lengths]
        said = nearest(shape.side, near, NEAR_NAMED) if near else None
        if said:
            found.append(Square(shape.width, shape.height, said, shape.centre, False, shape.layer, labelled=True))
    exact = [one for one in found if abs(one.side_mm - one.nominal_mm) <= 0.3]
    return [one for one in found if one in exact or one.nominal_mm not in {ok.nominal_mm for ok in exact}]


def _belongs(shape: Shape, said: float, chosen: Sequence[Square], lengths: Sequence[float]) -> bool:
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


def _apart(shape: Shape, line: Line) -> float:
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

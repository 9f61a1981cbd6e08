"""What two drawings of one page have in common, within a tenth of a millimetre, and what only one of them has.

Lines and areas are compared by where their ink lies, however it was cut into pieces; letters and pictures by where
they stand. Method and limits: docs/algorithms/pdf-compare.md. numpy and scipy are imported when two pages differ.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from releases.pdf.geometry import Point, within
from releases.pdf.marks import Colour, Drawing, Letter, Picture, Style, Trace

# A home printer places a line no better than this (common practice, no source).
TOLERANCE_MM = 0.1
# For the last digit of a file's own rounding.
_EPSILON = 0.004
_COLOUR = 0.03
_PEN_MM = 0.05
# Ink is probed this densely; corners are always probed.
_STEP_MM = 0.5
_MOST_PROBES = 3_000_000
_NEIGHBOURS = 8


@dataclass
class Difference:
    """The marks of either page that the other does not have."""

    old_traces: list[Trace] = field(default_factory=list)
    new_traces: list[Trace] = field(default_factory=list)
    old_letters: list[Letter] = field(default_factory=list)
    new_letters: list[Letter] = field(default_factory=list)
    old_pictures: list[Picture] = field(default_factory=list)
    new_pictures: list[Picture] = field(default_factory=list)
    resized: bool = False

    def __bool__(self) -> bool:
        return self.resized or any(
            (self.old_traces, self.new_traces, self.old_letters, self.new_letters, self.old_pictures, self.new_pictures)
        )

    def layers(self) -> tuple[str, ...]:
        """The layers that differ; "" stands for what lies on none, and so concerns every size."""
        found = {trace.style.layer for trace in (*self.old_traces, *self.new_traces)}
        found |= {letter.layer for letter in (*self.old_letters, *self.new_letters)}
        found |= {picture.layer for picture in (*self.old_pictures, *self.new_pictures)}
        return tuple(sorted(found | ({""} if self.resized else set())))


def difference(old: Drawing, new: Drawing) -> Difference:
    """What differs between two pages."""
    found = Difference(resized=abs(old.width_mm - new.width_mm) > 0.5 or abs(old.height_mm - new.height_mm) > 0.5)
    classes = _Classes()
    found.old_traces, found.new_traces = _traces(old.traces, new.traces, classes)
    found.old_letters, found.new_letters = _standing(
        [letter for letter in old.letters if letter.seen],
        [letter for letter in new.letters if letter.seen],
        _letter_key,
    )
    found.old_pictures, found.new_pictures = _standing(old.pictures, new.pictures, _picture_key)
    return found


class _Classes:
    """Styles that a reader cannot tell apart are one class, so that rounding of a pen or a colour changes nothing."""

    def __init__(self) -> None:
        self._known: dict[Style, int] = {}
        self._firsts: dict[tuple[Hashable, ...], list[tuple[Style, int]]] = defaultdict(list)

    def of(self, style: Style) -> int:
        if style not in self._known:
            firsts = self._firsts[style.paint, style.layer, len(style.dash_mm), len(style.colour)]
            same = next((number for first, number in firsts if _alike(first, style)), None)
            if same is None:
                same = len(self._known)
                firsts.append((style, same))
            self._known[style] = same
        return self._known[style]


def _alike(a: Style, b: Style) -> bool:
    return (
        abs(a.width_mm - b.width_mm) <= _PEN_MM
        and all(abs(x - y) <= TOLERANCE_MM for x, y in zip(a.dash_mm, b.dash_mm, strict=True))
        and same_colour(a.colour, b.colour)
    )


def same_colour(a: Colour, b: Colour) -> bool:
    return len(a) == len(b) and all(
        abs(x - y) <= _COLOUR if isinstance(x, float) and isinstance(y, float) else x == y
        for x, y in zip(a, b, strict=True)
    )


# Lines and areas


def _traces(old: Sequence[Trace], new: Sequence[Trace], classes: _Classes) -> tuple[list[Trace], list[Trace]]:
    ours, theirs = _by_class(old, classes), _by_class(new, classes)
    only_old, only_new = list[Trace](), list[Trace]()
    for key in ours.keys() | theirs.keys():
        a, b = ours.get(key, []), theirs.get(key, [])
        odd_old, odd_new = _unequal(a, b), _unequal(b, a)
        if odd_old:
            only_old += _without(odd_old, b)
        if odd_new:
            only_new += _without(odd_new, a)
    return only_old, only_new


def _by_class(traces: Iterable[Trace], classes: _Classes) -> dict[int, list[Trace]]:
    found: dict[int, list[Trace]] = defaultdict(list)
    for trace in traces:
        found[classes.of(trace.style)].append(trace)
    return found


def _unequal(traces: Sequence[Trace], others: Sequence[Trace]) -> list[Trace]:
    """Those that the others do not have to the last digit: most of a page falls away here."""
    known = {hash(tuple(other.points)) for other in others}
    return [trace for trace in traces if hash(tuple(trace.points)) not in known]


def _without(traces: Sequence[Trace], others: Sequence[Trace]) -> list[Trace]:
    """The traces of which some ink lies farther from all ink of the others than the tolerance."""
    if not others:
        return [trace for trace in traces if trace.clip is None or _reaches_into(trace)]
    import numpy as np
    from scipy.spatial import cKDTree

    starts, ends = _segments(others)
    samples, owner = _samples(starts, ends)
    tree = cKDTree(samples)
    begin, finish = _segments(traces)
    probes, segment = _samples(begin, finish)
    near = _distances(tree, owner, starts, ends, probes)
    belongs = np.repeat(np.arange(len(traces)), [len(trace.points) - 1 for trace in traces])
    far = near > TOLERANCE_MM + _EPSILON
    far[far] = _visible(traces, belongs[segment[far]], probes[far])
    bad = np.zeros(len(traces), dtype=bool)
    bad[belongs[segment[far]]] = True
    return [trace for trace, is_bad in zip(traces, bad, strict=True) if is_bad]


def _reaches_into(trace: Trace) -> bool:
    """Whether any of a cut run lies where it may be seen."""
    clip = trace.clip
    return clip is None or any(within(a, b, clip) for a, b in itertools.pairwise(trace.points))


def _visible(traces: Sequence[Trace], which: Any, probes: Any) -> Any:
    """Whether each probe lies where its trace may be seen."""
    import numpy as np

    anywhere = (-np.inf, -np.inf, np.inf, np.inf)
    clips = np.array([trace.clip or anywhere for trace in traces], dtype=float)[which]
    x, y = probes.T
    return (x >= clips[:, 0]) & (x <= clips[:, 2]) & (y >= clips[:, 1]) & (y <= clips[:, 3])


def _segments(traces: Sequence[Trace]) -> tuple[Any, Any]:
    import numpy as np

    starts = np.array([point for trace in traces for point in trace.points[:-1]], dtype=float)
    ends = np.array([point for trace in traces for point in trace.points[1:]], dtype=float)
    return starts, ends


def _samples(starts: Any, ends: Any) -> tuple[Any, Any]:
    """Points along segments, both ends included, and the segment of each."""
    import numpy as np

    lengths = np.hypot(*(ends - starts).T)
    step = max(_STEP_MM, float(lengths.sum()) / _MOST_PROBES)
    counts = np.minimum(np.ceil(lengths / step).astype(int), _MOST_PROBES) + 1
    owner = np.repeat(np.arange(len(starts)), counts)
    first = np.cumsum(counts) - counts
    share = (np.arange(len(owner)) - first[owner]) / np.maximum(counts[owner] - 1, 1)
    return starts[owner] + share[:, None] * (ends - starts)[owner], owner


def _distances(tree: Any, owner: Any, starts: Any, ends: Any, probes: Any) -> Any:
    """How far each probe lies from the segments whose samples are nearest to it."""
    import numpy as np

    count = min(_NEIGHBOURS, tree.n)
    _far, nearest = tree.query(probes, k=count)
    nearest = nearest.reshape(len(probes), count)
    best = np.full(len(probes), np.inf)
    for column in range(count):
        segment = owner[nearest[:, column]]
        a, along = starts[segment], (ends - starts)[segment]
        square = np.maximum((along**2).sum(axis=1), 1e-12)
        t = np.clip(((probes - a) * along).sum(axis=1) / square, 0, 1)
        best = np.minimum(best, np.hypot(*(probes - a - t[:, None] * along).T))
    return best


# Letters and pictures


def _letter_key(letter: Letter) -> tuple[Hashable, float, float]:
    # Sizes and shades are compared where letters meet.
    return (letter.text, letter.font, letter.layer), letter.x, letter.y


def _picture_key(picture: Picture) -> tuple[Hashable, float, float]:
    return (picture.digest, picture.layer), *picture.corners[0]


def _standing(old: Sequence[Any], new: Sequence[Any], key: Any) -> tuple[list[Any], list[Any]]:
    return _missing(old, new, key), _missing(new, old, key)


def _missing(things: Sequence[Any], others: Sequence[Any], key: Any) -> list[Any]:
    known = {_exact(other) for other in others}
    things = [thing for thing in things if _exact(thing) not in known]
    places: dict[Hashable, list[tuple[float, float, Any]]] = defaultdict(list)
    for other in others if things else ():
        name, x, y = key(other)
        places[name, math.floor(x), math.floor(y)].append((x, y, other))
    return [thing for thing in things if not getattr(thing, "edge", False) and not _met(thing, key(thing), places)]


def _exact(thing: Any) -> Hashable:
    """To the last digit: most of a page falls away here."""
    if isinstance(thing, Letter):
        return thing.text, thing.x, thing.y, thing.size_mm, thing.turn, thing.font, thing.colour, thing.layer
    return thing.digest, thing.corners, thing.layer


def _met(thing: Any, key: tuple[Hashable, float, float], places: Any) -> bool:
    name, x, y = key
    for cell in _cells(x, y):
        for u, v, other in places.get((name, *cell), ()):
            if math.hypot(u - x, v - y) <= TOLERANCE_MM + _EPSILON and _same_look(thing, other):
                return True
    return False


def _cells(x: float, y: float) -> Iterator[tuple[int, int]]:
    reach = TOLERANCE_MM + _EPSILON
    for u in {math.floor(x - reach), math.floor(x + reach)}:
        for v in {math.floor(y - reach), math.floor(y + reach)}:
            yield u, v


def _same_look(a: Any, b: Any) -> bool:
    if isinstance(a, Letter):
        return (
            abs(a.size_mm - b.size_mm) <= TOLERANCE_MM
            and abs((a.turn - b.turn + 180) % 360 - 180) <= 1
            and same_colour(a.colour, b.colour)
        )
    return all(math.dist(p, q) <= TOLERANCE_MM + _EPSILON for p, q in zip(a.corners, b.corners, strict=True))


# How two pages lie to each other

Interest = dict[Hashable, list[Point]]


def offset(found: Difference) -> tuple[Point, float] | None:
    """By how much what is only in the new page is shifted against what is only in the old one, and for what share."""
    ours, theirs = _interest(found.old_traces, found.old_letters), _interest(found.new_traces, found.new_letters)
    votes: dict[tuple[int, int], list[Point]] = defaultdict(list)
    for key, places in theirs.items():
        before = ours.get(key, [])
        if 0 < len(before) * len(places) <= 144:
            for x, y in places:
                for u, v in before:
                    votes[round((x - u) * 5), round((y - v) * 5)].append((x - u, y - v))
    if not votes:
        return None
    cell = max(votes, key=lambda one: sum(len(votes.get(near, ())) for near in _around(one)))
    agreed = [vote for near in _around(cell) for vote in votes.get(near, ())]
    dx, dy = (sum(vote[i] for vote in agreed) / len(agreed) for i in (0, 1))
    asked = min(sum(map(len, ours.values())), sum(map(len, theirs.values())))
    return (dx, dy), min(1.0, len(agreed) / max(1, asked))


def _around(cell: tuple[int, int]) -> list[tuple[int, int]]:
    return [(cell[0] + i, cell[1] + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]


_MOST_CORNERS = 4_000


def _interest(traces: Iterable[Trace], letters: Iterable[Letter]) -> Interest:
    """Places that can be told again after a shift: letters by what they are, corners by the lines that meet there."""
    found: Interest = defaultdict(list)
    for letter in letters:
        found[letter.text, letter.font, round(letter.size_mm), letter.turn].append((letter.x, letter.y))
    count = 0
    for trace in traces:
        if count > _MOST_CORNERS:
            break
        if trace.clip is None and len(trace.points) == 2:
            (x, y), (u, v) = sorted(trace.points)
            found[trace.style.paint, trace.style.layer, "line", round(u - x), round(v - y)].append((x, y))
        for a, b, c in _threes(trace):
            before = round(math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) / 3) % 120
            after = round(math.degrees(math.atan2(c[1] - b[1], c[0] - b[0])) / 3) % 120
            if before != after:
                found[trace.style.paint, trace.style.layer, before, after].append(b)
                count += 1
    return found


def _threes(trace: Trace) -> Iterator[tuple[Point, Point, Point]]:
    points = trace.points
    if trace.closed and len(points) > 2:
        points = [points[-2], *points]
    yield from zip(points, points[1:], points[2:], strict=False)

"""Boxes on a strip of cloth: as short as a small search finds it. Every length is a whole number of one small unit.

x runs along the strip, y across it. Boxes are put down one after another, each as far back as it goes (the lowest
x, then the lowest y) on the edge of what lies there already; or else the gap that is furthest back gets the first box
of the order that goes into it. Usual orders come first; then an order is changed a
little, again and again, and kept where the strip grows no longer than a slack that shrinks. What is left of the work
asks the question the other way round: for a shorter strip, put the boxes down across it, and see whether they stay
within its width. The seed is fixed and the work is counted in boxes put down, not in seconds: the same list gives
the same layout on every machine. Method, limits and figures: docs/algorithms/fabric.md.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import compress

# Boxes put down before the search ends: some 0.1 s on a usual machine.
WORK = 72_000
# The share of it that looks along the strip; the rest looks across, in so many attempts.
ALONG, ATTEMPTS = 0.7, 3
# So many starts share the work, the best of the usual orders among them. A change may at first make the strip longer
# by a slack, but it stays near the best.
STARTS, USUAL, SLACK, DRIFT, SEED = 3, 1, 0.06, 0.1, 1
NEVER = 1 << 60

Sides = tuple[int, int]
Order = list[int]
Place = tuple[int, int, int]


@dataclass(frozen=True)
class Box:
    """A box as it lies: along and across. `edge`: it must touch y = 0. `other`: how else it may lie."""

    along: int
    across: int
    edge: bool = False
    other: Sides | None = None

    def ways(self, width: int) -> list[Sides]:
        """How it may lie on a strip of that width; none where it is too wide either way."""
        return [way for way in ((self.along, self.across), self.other) if way and way[1] <= width]


@dataclass(frozen=True)
class Spot:
    """Where a box of the list came to lie, and its sides there: along, across."""

    box: int
    x: int
    y: int
    along: int
    across: int


@dataclass(frozen=True)
class Packing:
    """The strip's length, where each box lies, and the length that no layout can go below."""

    length: int
    spots: tuple[Spot, ...]
    bound: int


def pack(boxes: Sequence[Box], width: int, *, orders: Iterable[Sequence[int]] = (), work: int = WORK) -> Packing:
    """Lay boxes on a strip. `orders` are tried first, before the usual ones.

    Raises ValueError where a box is wider than the strip either way.
    """
    if not all(box.ways(width) for box in boxes):
        raise ValueError("a box is wider than the strip")
    bound = least_length(boxes, width)
    if not boxes:
        return Packing(0, (), 0)
    along = _Search(boxes, width, bound, int(work * ALONG))
    along.run(orders)
    best = Packing(along.length, along.spots, bound)
    left, attempt = work - int(work * ALONG), 0
    while left > 0 and best.length > bound:
        shorter = best.length - 1
        best, used = _across(boxes, width, best, shorter - (shorter - bound) // 2 * (attempt % 2), left // ATTEMPTS + 1)
        left, attempt = left - used, attempt + 1
    return best


def _across(boxes: Sequence[Box], width: int, best: Packing, length: int, work: int) -> tuple[Packing, int]:
    """The layout within a shorter length, if the boxes put down across it stay within the width; and the work done."""
    turned = [Box(box.across, box.along, box.edge, box.other and (box.other[1], box.other[0])) for box in boxes]
    search = _Search(turned, length, width, work, edge_at_start=True, seed=SEED + length % 101)
    search.run(())
    if search.length > width:
        return best, work - search.work
    spots = tuple(Spot(spot.box, spot.y, spot.x, spot.across, spot.along) for spot in search.spots)
    return Packing(max(spot.x + spot.along for spot in spots), spots, best.bound), work - search.work


@dataclass
class _Trial:
    """An order to put the boxes down in, how each lies, and whether the furthest gap is filled first."""

    order: Order
    along: list[int]
    across: list[int]
    by_gap: bool = False


@dataclass
class _Search:
    """The best found so far, and how much work is left; ends early at a length that is short enough.

    `edge_at_start`: boxes with an edge must lie at the strip's beginning (x = 0) and not at its side (y = 0).
    """

    boxes: Sequence[Box]
    width: int
    enough: int
    work: int
    edge_at_start: bool = False
    seed: int = SEED
    length: int = NEVER
    spots: tuple[Spot, ...] = ()
    chance: random.Random = field(init=False)

    def __post_init__(self) -> None:
        self.chance = random.Random(self.seed)  # noqa: S311
        self.edges = [box.edge for box in self.boxes]

    @property
    def over(self) -> bool:
        return self.work <= 0 or self.length <= self.enough

    def run(self, orders: Iterable[Sequence[int]]) -> None:
        tried = []
        for trial in self._starts(orders):
            tried.append((self._try(trial, NEVER), trial))
            if self.over:
                return
        tried.sort(key=lambda one: one[0])
        share = self.work // STARTS + 1
        for length, trial in tried[:USUAL]:
            self._follow(trial, length, share)
        while not self.over:
            trial = self._any_start()
            self._follow(trial, self._try(trial, NEVER), share)

    def _starts(self, orders: Iterable[Sequence[int]]) -> Iterator[_Trial]:
        turnable = any(box.other for box in self.boxes)
        for turned in (False, True) if turnable else (False,):
            along, across = self._lie(turned)
            for order in (*orders, *_usual_orders(along, across)):
                for by_gap in (False, True):
                    yield _Trial(self._edges_first(order), along[:], across[:], by_gap)

    def _any_start(self) -> _Trial:
        order = list(range(len(self.boxes)))
        self.chance.shuffle(order)
        return _Trial(self._edges_first(order), *self._lie(self.chance.random() < 0.5), self.chance.random() < 0.5)

    def _edges_first(self, order: Iterable[int]) -> Order:
        """Boxes that must lie at the beginning go there first; others keep their order."""
        return sorted(order, key=lambda i: not self.edges[i]) if self.edge_at_start else list(order)

    def _lie(self, turned: bool) -> tuple[list[int], list[int]]:
        """How each box lies: as given, or the other way where it may and that fits."""
        sides = [box.ways(self.width)[-1 if turned else 0] for box in self.boxes]
        return [along for along, _ in sides], [across for _, across in sides]

    def _try(self, trial: _Trial, below: int) -> int:
        """The length of a trial, or NEVER where it does not stay below a limit; the best one is kept."""
        self.work -= len(trial.order) * 3 // 2 if trial.by_gap else len(trial.order)
        put = _fill_gaps if trial.by_gap else _put_down
        laid = put(trial, self.edges, self.width, below, self.edge_at_start)
        if laid is None:
            return NEVER
        length, places = laid
        if length < self.length:
            self.length = length
            self.spots = tuple(Spot(i, x, y, trial.along[i], trial.across[i]) for i, x, y in places)
        return length

    def _follow(self, trial: _Trial, length: int, share: int) -> None:
        """Change an order bit by bit, as long as its share of the work lasts."""
        end = self.work - share
        while self.work > end and not self.over:
            left = (self.work - end) / share
            changed = self._change(trial)
            self.work -= 1
            if changed is None:
                continue
            found = self._try(changed, int(min(length * (1 + SLACK * left), self.length * (1 + DRIFT))) + 1)
            if found < NEVER:
                trial, length = changed, found

    def _change(self, trial: _Trial) -> _Trial | None:
        """Lay a box the other way, swap two, or move one; None where nothing came of it."""
        count, draw = len(trial.order), self.chance.random
        a, kind = int(draw() * count), draw()
        if kind < 0.15 and self.boxes[a].other:
            return self._turned(trial, a)
        b = int(draw() * count)
        if a == b:
            return None
        order = trial.order[:]
        if kind < 0.55:
            i, j = order[a], order[b]
            if trial.along[i] == trial.along[j] and trial.across[i] == trial.across[j]:
                return None
            order[a], order[b] = j, i
        else:
            order.insert(b, order.pop(a))
        return _Trial(order, trial.along, trial.across, trial.by_gap)

    def _turned(self, trial: _Trial, i: int) -> _Trial | None:
        others = [way for way in self.boxes[i].ways(self.width) if way != (trial.along[i], trial.across[i])]
        if not others:
            return None
        new = replace(trial, along=trial.along[:], across=trial.across[:])
        new.along[i], new.across[i] = others[0]
        return new


def _usual_orders(along: Sequence[int], across: Sequence[int]) -> Iterator[Order]:
    """Longest first, largest first, widest first, and largest around first."""
    boxes = range(len(along))
    yield sorted(boxes, key=lambda i: (-along[i], -across[i]))
    yield sorted(boxes, key=lambda i: -along[i] * across[i])
    yield sorted(boxes, key=lambda i: (-across[i], -along[i]))
    yield sorted(boxes, key=lambda i: -along[i] - across[i])


def _put_down(
    trial: _Trial, edges: Sequence[bool], width: int, below: int, edge_at_start: bool
) -> tuple[int, list[Place]] | None:
    """Length and places (box, x, y), or None as soon as the length is not below the limit."""
    # The edge of what lies there: steps across the strip, each with its start, its width and how far it reaches.
    starts, widths, levels = [0], [width], [0]
    length, places = 0, []
    for i in trial.order:
        across = trial.across[i]
        at_side = edges[i] and not edge_at_start
        found = _lowest(widths, levels, across, 1 if at_side else len(levels))
        if found is None or (edges[i] and edge_at_start and found[0]):
            return None
        x, first, last, spare = found
        end = x + trial.along[i]
        if end > length:
            length = end
            if length >= below:
                return None
        y = starts[first]
        places.append((i, x, y))
        if spare:
            levels[first : last + 1] = [end, levels[last]]
            starts[first : last + 1] = [y, y + across]
            widths[first : last + 1] = [across, spare]
        else:
            levels[first : last + 1] = [end]
            starts[first : last + 1] = [y]
            widths[first : last + 1] = [across]
    return length, places


def _lowest(widths: list[int], levels: list[int], across: int, firsts: int) -> tuple[int, int, int, int] | None:
    """Where a box goes furthest back: x, first and last step that it rests on, and the width left of the last."""
    best = None
    lowest, count = NEVER, len(levels)
    for first in range(firsts):
        x, need, last = levels[first], across, first
        while x < lowest:
            need -= widths[last]
            if need <= 0:
                lowest, best = x, (x, first, last, -need)
                break
            last += 1
            if last == count:
                return best
            if levels[last] > x:
                x = levels[last]
    return best


def _fill_gaps(
    trial: _Trial, edges: Sequence[bool], width: int, below: int, edge_at_start: bool
) -> tuple[int, list[Place]] | None:
    """As `_put_down`, but the gap that is furthest back gets the first box of the order that goes into it."""
    starts, widths, levels = [0], [width], [0]
    length, places, rest = 0, [], trial.order[:]
    while rest:
        x = min(levels)
        k = levels.index(x)
        free, at_edge = widths[k], not (x if edge_at_start else starts[k])
        i = next((i for i in rest if trial.across[i] <= free and (at_edge or not edges[i])), None)
        if i is None:
            if len(levels) == 1:
                return None
            _close_gap(starts, widths, levels, k)
            continue
        rest.remove(i)
        end = x + trial.along[i]
        if end > length:
            length = end
            if length >= below:
                return None
        beyond = not edges[i] and _nearer_beyond(levels, k, end)
        places.append((i, x, _into_gap(starts, widths, levels, k, end, trial.across[i], beyond=beyond)))
    return length, places


def _close_gap(starts: list[int], widths: list[int], levels: list[int], k: int) -> None:
    """No box goes into this step of the edge: it is level with its lower neighbour from now on."""
    before = levels[k - 1] if k else NEVER
    beyond = levels[k + 1] if k + 1 < len(levels) else NEVER
    levels[k] = min(before, beyond)
    _level_out(starts, widths, levels, k)


def _nearer_beyond(levels: list[int], k: int, end: int) -> bool:
    """Whether a box that reaches so far leaves less of a step beside the neighbour beyond the gap."""
    before = levels[k - 1] if k else NEVER
    beyond = levels[k + 1] if k + 1 < len(levels) else NEVER
    return abs(beyond - end) < abs(before - end)


def _into_gap(
    starts: list[int], widths: list[int], levels: list[int], k: int, end: int, across: int, *, beyond: bool
) -> int:
    """Put a box into a gap, at its beginning or at its far side; returns where it begins."""
    start, spare, low = starts[k], widths[k] - across, levels[k]
    y = start + spare if beyond else start
    if not spare:
        levels[k] = end
    else:
        starts[k : k + 1] = [start, y if beyond else start + across]
        widths[k : k + 1] = [spare, across] if beyond else [across, spare]
        levels[k : k + 1] = [low, end] if beyond else [end, low]
    _level_out(starts, widths, levels, k)
    return y


def _level_out(starts: list[int], widths: list[int], levels: list[int], k: int) -> None:
    """Join neighbours of one level around a step."""
    i = max(k - 1, 0)
    while i + 1 < len(levels) and i <= k + 1:
        if levels[i] == levels[i + 1]:
            widths[i] += widths.pop(i + 1)
            del starts[i + 1], levels[i + 1]
        else:
            i += 1


def least_length(boxes: Sequence[Box], width: int) -> int:
    """A length that no layout can go below: by area, by the longest box, and by boxes too wide to lie side by side."""
    if not boxes:
        return 0
    ways = [box.ways(width) for box in boxes]
    area = sum(min(along * across for along, across in both) for both in ways)
    # Where a box may turn, the side by side rule counts what holds either way.
    sides = [(min(along for along, _ in both), min(across for _, across in both)) for both in ways]
    least = max(-(-area // width), *(along for along, _ in sides))
    for limit in {across for _, across in sides if 2 * across <= width} | {width - width // 2}:
        wide = [across > width - limit for _, across in sides]
        alone = sum(along for along, _ in compress(sides, wide))
        shared = sum(a * b for (a, b), w in zip(sides, wide, strict=True) if not w and b >= limit)
        least = max(least, alone + -(-shared // width))
    return least

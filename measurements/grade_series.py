"""Slips, jumps and changes of step in one row of numbers, told apart from rounding. All values in cm.

A slip is one number off what its neighbours agree on; a jump is a level that changes once and stays; a turn is a
step that changes and stays. Rounding to a unit q moves a number by q/2, a difference by q, and a mean step over k
sizes by q/k: what is within that is silent.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

TINY = 1e-6
# How many times the row's usual unevenness a number must be off, where the row is uneven throughout.
UNEVEN = 2.5


@dataclass(frozen=True)
class Slip:
    """One number that is off; `at` counts the numbers of the row, `should` is what its neighbours agree on."""

    at: int
    should: float
    off: float


@dataclass(frozen=True)
class Jump:
    """A level that changes by `off` at one place and stays."""

    at: int
    off: float


def _between(y: Sequence[float], x: Sequence[int], left: int, right: int, at: int) -> float:
    """The line through two numbers, read at a third place."""
    return y[left] + (y[right] - y[left]) * (x[at] - x[left]) / (x[right] - x[left])


def _uneven(y: Sequence[float], x: Sequence[int], at: int) -> float:
    """How far a number of this row usually lies from the line through its neighbours, away from one place."""
    far = [abs(y[k] - _between(y, x, k - 1, k + 1, k)) for k in range(1, len(y) - 1) if abs(k - at) > 1]
    return median(far) if far else 0.0


def level_slips(x: Sequence[int], y: Sequence[float], q: float) -> list[Slip]:
    """Numbers off a level or a line by more than rounding, while their neighbours agree.

    For ease, which is even in an honest grade. The ends are compared with the two inner ones. `x` are places.
    """
    if len(y) < 3 or max(y) - min(y) <= q + TINY:
        return []
    middle = median(y)
    found = []
    for at in range(len(y)):
        should = _inner(x, y, q, at, middle) if 0 < at < len(y) - 1 else _end(x, y, q, at)
        if should is not None:
            found.append(Slip(at, should, y[at] - should))
    return found


def level_twins(y: Sequence[float], q: float) -> list[Slip]:
    """Two neighbours off a level that at least two thirds of the row keep, before them and after them."""
    if len(y) < 6:
        return []
    level = median(y)
    off = [abs(value - level) > q + TINY for value in y]
    if 3 * sum(off) > len(y):
        return []
    starts = [k for k in range(1, len(y) - 2) if off[k : k + 2] == [True, True] and not off[k - 1] and not off[k + 2]]
    return [Slip(at, level, y[at] - level) for k in starts for at in (k, k + 1)]


def _inner(x: Sequence[int], y: Sequence[float], q: float, at: int, middle: float) -> float | None:
    should = _between(y, x, at - 1, at + 1, at)
    off = abs(y[at] - should)
    if off <= max(q, UNEVEN * _uneven(y, x, at)) + TINY:
        return None
    left, right = y[at - 1], y[at + 1]
    if abs(left - right) <= q + TINY:
        return should if abs(y[at] - middle) > max(abs(left - middle), abs(right - middle)) else None
    outer = [k for k in (at - 2, at + 2) if 0 <= k < len(y)]
    on_line = all(abs(y[k] - _between(y, x, at - 1, at + 1, k)) <= q + TINY for k in outer)
    return should if outer and on_line else None


def _end(x: Sequence[int], y: Sequence[float], q: float, at: int) -> float | None:
    """What an end should be: the level of the two inner ones, or their line, where it is off that and the trend."""
    a, b, c = (1, 2, 3) if at == 0 else (len(y) - 2, len(y) - 3, len(y) - 4)
    limit = max(q, UNEVEN * _uneven(y, x, at)) + TINY
    trend = median(_steps(x, y))
    # A row that moves throughout may move faster at its end.
    if min(abs(y[at] - y[a]), abs(y[at] - y[a] - (x[at] - x[a]) * trend)) <= limit * (2 if abs(trend) > TINY else 1):
        return None
    if abs(y[a] - y[b]) <= q + TINY:
        same_way = (y[at] - y[a]) * (y[at] - y[b]) > 0
        return y[a] if same_way and abs(y[at] - y[b]) > limit else None
    if not 0 <= c < len(y):
        return None
    on_line = abs(y[c] - _between(y, x, a, b, c)) <= q + TINY
    should = _between(y, x, a, b, at)
    return should if on_line and abs(y[at] - should) > 2 * limit else None


def _steps(x: Sequence[int], y: Sequence[float]) -> list[float]:
    """The steps between neighbours, a size."""
    return [(y[k + 1] - y[k]) / (x[k + 1] - x[k]) for k in range(len(y) - 1)]


def level_jumps(x: Sequence[int], y: Sequence[float], q: float) -> list[Jump]:
    """Places where a level changes once and stays; two numbers at least on either side. For ease."""
    if len(y) < 4 or max(y) - min(y) <= q + TINY:
        return []
    found, trend = [], abs(median(_steps(x, y)))
    for k in range(2, len(y) - 1):
        low, high = sorted(y[k - 2 : k]), sorted(y[k : k + 2])
        even = max(low[-1] - low[0], high[-1] - high[0]) <= q + TINY
        apart = max(high[0] - low[-1], low[0] - high[-1])
        if even and apart > max(q, UNEVEN * _uneven(y, x, k)) + 3 * trend + TINY:
            found.append(Jump(k, median(high) - median(low)))
    return found


def step_jumps(x: Sequence[int], y: Sequence[float], q: float) -> list[Jump]:
    """Places where one step alone is off while those beside it agree. For a chart's own row."""
    step = _steps(x, y)
    found = []
    for k in range(1, len(step) - 1):
        before, after = step[k - 1], step[k + 1]
        alone = (step[k] - before) * (step[k] - after) > 0
        beyond = min(abs(step[k] - before), abs(step[k] - after))
        if alone and abs(before - after) <= q + TINY and beyond > max(2 * q, UNEVEN * _uneven(y, x, k)) + TINY:
            found.append(Jump(k + 1, step[k] - (before + after) / 2))
    return found


def step_slips(x: Sequence[int], y: Sequence[float], q: float) -> list[Slip]:
    """Numbers of a chart's own row that make its steps zigzag: m + e, then m - e.

    Published charts have uneven steps, but they seldom turn. What counts is how much the steps calm down when one
    number moves to the middle of its neighbours: four times e on even steps. The ends are not judged here.
    """
    moved = list(y)
    found: list[Slip] = []
    while len(found) <= len(y) // 3:
        inner = [
            at for at in range(1, len(y) - 1) if abs(moved[at] - _between(moved, x, at - 1, at + 1, at)) > q + TINY
        ]
        calmer = [(gain, at) for at in inner if (gain := _calmer(x, moved, at, q)) > 4 * q + TINY]
        limit = [(gain, at) for gain, at in calmer if gain > 4 * UNEVEN * _uneven(y, x, at) + TINY]
        if not limit:
            break
        _, at = max(limit)
        should = _between(moved, x, at - 1, at + 1, at)
        found.append(Slip(at, should, y[at] - should))
        moved[at] = should
    return found


def _calmer(x: Sequence[int], y: Sequence[float], at: int, q: float) -> float:
    """How much less the steps change in all, with one number in the middle of its neighbours.

    Beside an end there is one outer step alone, and a first step is often narrower: there both steps must leave the
    outer one, about evenly.
    """
    step = [(y[k + 1] - y[k]) / (x[k + 1] - x[k]) if 0 <= k < len(y) - 1 else None for k in range(at - 2, at + 2)]
    before, up, down, after = step
    if up is None or down is None:
        return 0.0
    middle = (y[at + 1] - y[at - 1]) / (x[at + 1] - x[at - 1])
    outer = before if before is not None else after
    if outer is None:
        return 0.0
    if before is None or after is None:
        one, other = up - outer, outer - down
        even = one * other > 0 and min(abs(one), abs(other)) >= 0.4 * max(abs(one), abs(other))
        return 2 * min(abs(one), abs(other)) if even else 0.0
    rest = abs(middle - before) + abs(after - middle)
    gain = abs(up - before) + abs(down - up) + abs(after - down) - rest
    # One narrow step alone also calms down when it is spread over two, but only by half: that is no slip.
    if gain <= 1.5 * (rest - abs(after - before)) + TINY:
        return 0.0
    # Beside a change of step, rounding alone lets the steps turn by more.
    return gain - 2 * q if abs(after - before) > q + TINY else gain


def calmed(x: Sequence[int], y: Sequence[float], at: int, by: float) -> float:
    """How much less the steps around a place change in all, when its number moves by so much."""
    moved = [value + (by if i == at else 0.0) for i, value in enumerate(y)]
    return _restless(x, y, at) - _restless(x, moved, at)


def _restless(x: Sequence[int], y: Sequence[float], at: int) -> float:
    near = range(max(at - 2, 0), min(at + 2, len(y) - 1))
    steps = [(y[k + 1] - y[k]) / (x[k + 1] - x[k]) for k in near]
    return sum(abs(after - before) for before, after in pairwise(steps))


def turns(x: Sequence[int], y: Sequence[float], q: float, declared: Sequence[int] = (), least: int = 2) -> list[int]:
    """The places at which the step changes and stays so: the first number reached by the new step.

    A stretch has `least` steps at least, and its mean step must differ by more than rounding explains.
    """
    found: set[int] = set(declared)
    stretches = [(0, len(y) - 1)]
    while stretches:
        first, last = stretches.pop()
        at = _best_turn(x, y, q, first, last, least)
        if at is not None:
            found.add(at)
            stretches += [(first, at - 1), (at - 1, last)]
    return sorted(found)


def _best_turn(x: Sequence[int], y: Sequence[float], q: float, first: int, last: int, least: int) -> int | None:
    best, at = 0.0, None
    for k in range(first + least, last - least + 1):
        before, after = x[k] - x[first], x[last] - x[k]
        apart = abs(mean_step(x, y, k, last) - mean_step(x, y, first, k))
        if apart > q / before + q / after + TINY:
            gain = apart**2 * before * after / (before + after)
            if gain > best:
                best, at = gain, k + 1
    return at


def mean_step(x: Sequence[int], y: Sequence[float], first: int, last: int) -> float:
    """The mean step a size between two numbers."""
    return (y[last] - y[first]) / (x[last] - x[first]) if last > first else 0.0

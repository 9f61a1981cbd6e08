"""Circumferences of one chart that grow together: one number off the level of its companions is a slip.

Bust, high bust and hip often take the same steps, whatever these are. Where a row keeps its distance from two others
in every size but one, that size is off, at an end too. Method: docs/algorithms/grade-check.md.
"""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from measurements.grade_rows import Row, Rows
from measurements.grade_series import TINY, calmed

# Two companions outvote a row. With one, the row is off whose own steps calm down more when it gives way.
COMPANIONS = 2


def companion_slips(chart: Rows, row: Row) -> dict[int, float]:
    """The one place where a circumference leaves its companions, with the length that keeps the distance, in cm."""
    if not row.round:
        return {}
    told: dict[int, list[tuple[float, bool]]] = {}
    for other in chart:
        if other.round and other.key != row.key:
            for place, should in _alone(row, other, chart.q):
                told.setdefault(place, []).append((should, _at_fault(row, other, place, should)))
    agreed = {
        place: median(should for should, _ in votes)
        for place, votes in told.items()
        if len(votes) >= COMPANIONS or votes[0][1]
    }
    return agreed if len(agreed) == 1 else {}


def _alone(row: Row, other: Row, q: float) -> Iterator[tuple[int, float]]:
    """The place where the distance of two rows differs, if it is the same in all other sizes."""
    apart = {
        i: one - two
        for i, (one, two) in enumerate(zip(row.cm, other.cm, strict=True))
        if one is not None and two is not None
    }
    if len(apart) < 3:
        return
    level = median(apart.values())
    off = [i for i, distance in apart.items() if abs(distance - level) > q + TINY]
    kept = [distance for i, distance in apart.items() if i not in off]
    if len(off) == 1 and max(kept) - min(kept) <= q / 2 + TINY:
        yield off[0], (other.cm[off[0]] or 0.0) + level


def _at_fault(row: Row, other: Row, place: int, should: float) -> bool:
    by = should - (row.cm[place] or 0.0)
    gains = []
    for one, move in ((row, by), (other, -by)):
        x, y = one.filled
        gains.append(calmed(x, y, x.index(place), move))
    return gains[0] > max(gains[1], 0.0) + TINY

"""Which page of one file is which page of another, though some were put in, taken out or drawn anew.

Pages stay in order. The pairing with the greatest likeness in all is chosen (dynamic programming over the likeness of
every two pages); what stands between two pairs on both sides in equal number is paired too.
"""

from __future__ import annotations

import heapq
import math
from collections import Counter
from collections.abc import Hashable, Iterator, Sequence

from releases.pdf.marks import Drawing
from releases.pdf.words import page_lines

# Two pages with less than this in common are different pages, unless their places tell otherwise.
LEAST_LIKENESS = 0.2
# Of a crowded page so many features tell it from all others.
_FEATURES = 500

Features = frozenset[Hashable]
Pair = tuple[int | None, int | None]


def features(drawing: Drawing) -> Features:
    """What a page can be told by: its lines of words, and coarse places, lengths and directions of what is drawn."""
    return frozenset(heapq.nsmallest(_FEATURES, set(_features(drawing)), key=hash))


def _features(drawing: Drawing) -> Iterator[Hashable]:
    for line in page_lines(drawing):
        yield line.text
        yield line.text, round(line.box[0] / 2), round(line.box[1] / 2)
    for trace in drawing.traces:
        (x, y), (u, v) = trace.points[0], trace.points[-1]
        middle = trace.points[len(trace.points) // 2]
        yield trace.style.paint, round(x / 2), round(y / 2), round(middle[0] / 2), round(middle[1] / 2)
        yield trace.style.paint, round(u - x), round(v - y), round(middle[0] - x), round(middle[1] - y)
    for picture in drawing.pictures:
        yield picture.digest


def paired(old: Sequence[Features], new: Sequence[Features]) -> list[Pair]:
    """Pairs of page numbers from 0, in order; None on the side that lacks the page.

    A page that is the same elsewhere in the file is paired with itself, since nobody must print it again.
    """
    likeness = _likeness(old, new)
    pairs = list(_filled(_best(likeness, len(old), len(new)), len(old), len(new)))
    elsewhere = {old[i]: i for i, j in pairs if j is None and i is not None and old[i]}
    found = {j: elsewhere.pop(new[j]) for i, j in pairs if i is None and j is not None and new[j] in elsewhere}
    moved = set(found.values())
    return [
        (found.get(j, i) if j is not None and i is None else i, j) for i, j in pairs if j is not None or i not in moved
    ]


def _likeness(old: Sequence[Features], new: Sequence[Features]) -> list[list[float]]:
    """From 0 to 1 for every two pages; a feature that many pages have tells less."""
    everywhere = Counter(feature for page in (*old, *new) for feature in page)
    count = len(old) + len(new)
    weight = {feature: math.log((2 + count) / times) + 0.05 for feature, times in everywhere.items()}
    sums = {page: sum(weight[feature] for feature in page) for page in {*old, *new}}

    def one(a: Features, b: Features) -> float:
        if a == b:
            return 1.0
        total = sums[a] + sums[b]
        return 2 * sum(weight[feature] for feature in a & b) / total if total else 1.0

    return [[one(a, b) for b in new] for a in old]


def _best(likeness: Sequence[Sequence[float]], rows: int, columns: int) -> list[tuple[int, int]]:
    score = [[0.0] * (columns + 1) for _ in range(rows + 1)]
    for i in range(rows - 1, -1, -1):
        for j in range(columns - 1, -1, -1):
            like = likeness[i][j]
            pair = score[i + 1][j + 1] + like if like >= LEAST_LIKENESS else -1.0
            score[i][j] = max(pair, score[i + 1][j], score[i][j + 1])
    found, i, j = [], 0, 0
    while i < rows and j < columns:
        like = likeness[i][j]
        if like >= LEAST_LIKENESS and math.isclose(score[i][j], score[i + 1][j + 1] + like):
            found.append((i, j))
            i, j = i + 1, j + 1
        elif score[i][j] == score[i + 1][j]:
            i += 1
        else:
            j += 1
    return found


def _filled(pairs: Sequence[tuple[int, int]], rows: int, columns: int) -> Iterator[Pair]:
    """The pairs with what stands between them: paired in order where there are as many on both sides."""
    i = j = 0
    for row, column in (*pairs, (rows, columns)):
        if row - i == column - j:
            yield from zip(range(i, row), range(j, column), strict=True)
        else:
            yield from ((one, None) for one in range(i, row))
            yield from ((None, one) for one in range(j, column))
        if row < rows and column < columns:
            yield row, column
        i, j = row + 1, column + 1

"""Layouts against an exact solver under the same rules: how much longer, and how long each took."""

from __future__ import annotations

import statistics
import time
from fractions import Fraction

from lib.bench_figures import Figure
from lib.lay_exact import invented_list, shortest
from releases.lay_plan import plan, quick_plan
from releases.lay_types import Cloth, CutPiece

SIZES, WIDTHS, MATERIALS = 20, (90, 115, 140, 150), 3


def lay(*, full: bool) -> list[Figure]:
    lists = [invented_list(seed) for seed in range(120 if full else 24)]
    longer, times, open_, shorter_than_area = [], [], 0, 0
    for pieces, cloth in lists:
        began = time.process_time()
        made = plan(pieces, cloth)
        times.append(1000 * (time.process_time() - began))
        if made.length is None:
            continue
        exact, proved = shortest(pieces, cloth, seconds=10 if full else 4)
        longer.append(100 * (made.length / exact - 1))
        open_ += not proved
        shorter_than_area += made.length < made.least
    told = f"{len(lists)} lists of 5 to 12 boxes, {len(lists) - open_} solved to the end"
    return [
        Figure("layout longer than the shortest, median", statistics.median(longer), "%", 3, told),
        Figure("the same, the worst list", max(longer), "%", 6, told),
        Figure("layouts shorter than their area", shorter_than_area, "", 0, told),
        Figure("a layout, CPU, median", statistics.median(times), "ms", 200),
        Figure("a layout, CPU, the slowest", max(times), "ms", 200),
        Figure("estimates of a version at once, CPU", _estimates(), "ms", 1000, "20 sizes, 4 widths, 3 materials"),
    ]


def _estimates() -> float:
    """Milliseconds for every quick layout of a large version."""
    pieces, _cloth = invented_list(7)
    began = time.process_time()
    for size in range(SIZES):
        grown = [_grown(piece, size) for piece in pieces]
        for width in WIDTHS:
            for _material in range(MATERIALS):
                quick_plan(grown, Cloth(10 * width, 30, Fraction(10)))
    return 1000 * (time.process_time() - began)


def _grown(piece: CutPiece, size: int) -> CutPiece:
    return CutPiece(
        piece.name, piece.material, piece.count, piece.cut, piece.grain, 10 * piece.length, 10 * piece.width + 3 * size
    )

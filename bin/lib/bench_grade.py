"""The grade check of a large range: body and garment, honest and with a slip in every row."""

from __future__ import annotations

from decimal import Decimal

from lib.bench_figures import Figure, interleaved
from measurements.charts import ChartCell, ChartLine, ChartTable

SIZES, ROWS = 30, 40


def chart(*, ease: int, slips: bool = False) -> ChartTable:
    """An invented chart of 30 sizes and 40 circumferences with a break, in mm."""
    lines = []
    for row in range(ROWS):
        lengths = [600 + 10 * row + 40 * at + 10 * max(0, at - 15) + ease for at in range(SIZES)]
        if slips:
            lengths[5 + row % 20] += 20
        cells = tuple(ChartCell(Decimal(mm), f"{mm}", "mm") for mm in lengths)
        lines.append(ChartLine(f"girth_{row}", f"Girth {row}", cells))
    return ChartTable(tuple(str(at) for at in range(SIZES)), "10", tuple(lines))


def grade(*, full: bool) -> list[Figure]:
    from measurements.grade_check import check_grade

    body, honest, faulty = chart(ease=0), chart(ease=60), chart(ease=60, slips=True)
    times = interleaved(
        {
            "honest": lambda: check_grade(body, honest),
            "faulty": lambda: check_grade(body, faulty),
            "alone": lambda: check_grade(faulty, None),
        },
        rounds=15 if full else 7,
    )
    return [
        Figure(f"grade check of {SIZES} x {ROWS}, body and garment", times["honest"], "ms", bar=50),
        Figure(f"grade check of {SIZES} x {ROWS}, a slip in every row", times["faulty"], "ms", bar=50),
        Figure(f"grade check of {SIZES} x {ROWS}, one chart alone", times["alone"], "ms", bar=50),
    ]

"""Size advice for a thousand bodies, beside the same rules written in numpy."""

from __future__ import annotations

import random
from decimal import Decimal
from typing import Any

from lib.bench_figures import Figure, interleaved

BODIES = 1000
# Millimetres: an invented range of ten sizes, its ease and its least ease.
BUST = (800, 840, 880, 920, 960, 1010, 1060, 1120, 1180, 1240)
CHART = {
    "bust": BUST,
    "high_bust": tuple(mm - 50 for mm in BUST),
    "waist": (620, 660, 700, 740, 780, 830, 880, 945, 1010, 1075),
    "hip": tuple(mm + 60 for mm in BUST),
}
EASE = {"bust": 60, "waist": 40, "hip": 70}
LEAST = {"bust": 40, "waist": 20, "hip": 50}
OUTSIDE, NOT = -1, -1


def bodies(count: int, seed: int = 5) -> list[dict[str, int]]:
    """Invented bodies in whole millimetres; some lie on the chart's own values, some beyond its ends."""
    made = random.Random(seed)  # noqa: S311  (no secret hangs on it)
    found = []
    for _ in range(count):
        bust = made.choice(BUST) if made.random() < 0.1 else round(made.gauss(990, 120))
        found.append(
            {
                "bust": bust,
                "high_bust": bust - round(made.gauss(50, 25)),
                "waist": bust - round(made.gauss(180, 60)),
                "hip": bust + round(made.gauss(60, 60)),
            }
        )
    return found


def advice(*, full: bool) -> list[Figure]:
    """Median CPU of the advice with its reasons, and of the bare rules in numpy."""
    import numpy as np

    from measurements.advice_facts import Asked, facts_for
    from measurements.charts import ChartCell, ChartLine, ChartTable
    from measurements.size_advice import advise

    plain = bodies(BODIES)
    lines = tuple(
        ChartLine(key, key, tuple(ChartCell(Decimal(mm), f"{mm}", "mm") for mm in row)) for key, row in CHART.items()
    )
    chart = ChartTable(tuple(str(6 + 2 * i) for i in range(len(BUST))), None, lines)
    facts = facts_for(chart, Asked(), plain[0])
    exact = [{key: Decimal(mm) for key, mm in body.items()} for body in plain]
    columns = {key: np.array([body[key] for body in plain]) for key in CHART}
    times = interleaved(
        {"advice": lambda: [advise(body, facts) for body in exact], "numpy": lambda: in_numpy(columns)},
        rounds=15 if full else 7,
    )
    came = f"sizes, blends and reasons; the bare rules in numpy take {times['numpy']:.2f} ms"
    return [Figure("size advice for 1,000 bodies, CPU", times["advice"], "ms", 100, came)]


def in_numpy(body: dict[str, Any]) -> tuple[Any, Any, Any]:
    """(size, blend at the waist, blend at the hip) as positions; OUTSIDE, and NOT where nothing is blended."""
    import numpy as np

    cup = body["bust"] - body["high_bust"] - 50
    changed = np.abs(cup) > 25
    chooser = np.where(changed, body["high_bust"] + 50, body["bust"])
    rows = {key: np.array(row) for key, row in CHART.items()}
    finished = {key: rows[key] + ease for key, ease in EASE.items()}
    last = len(BUST) - 1

    def place(row: Any, mm: Any) -> tuple[Any, Any]:
        lower = np.clip(np.searchsorted(row, mm, side="right") - 1, 0, last - 1)
        return lower, np.clip((mm - row[lower]) / (row[lower + 1] - row[lower]), 0, 1)

    def keeps(key: str, size: Any, more: int = 0) -> Any:
        return finished[key][size] - body[key] >= LEAST[key] + more

    def choose(lower: Any, share: Any, holds: Any) -> Any:
        nearest = np.where(share >= 0.65, lower + 1, lower)
        return np.where((share > 0.35) & (share < 0.65), np.where(holds, lower, lower + 1), nearest)

    lower, share = place(rows["bust"], chooser)
    holds = (changed | keeps("bust", lower, 10)) & keeps("waist", lower, 10) & keeps("hip", lower, 10)
    size = choose(lower, share, holds)
    row = rows["bust"]
    outside = (row[0] - chooser > (row[1] - row[0]) / 2) | (chooser - row[-1] > (row[-1] - row[-2]) / 2)

    def blend(key: str) -> Any:
        at, part = place(rows[key], body[key])
        own = choose(at, part, keeps(key, at, 10))
        every = np.arange(last + 1)
        enough = finished[key][None, :] - body[key][:, None] >= LEAST[key]
        above = enough & (every > size[:, None])
        up = np.where(above.any(1), above.argmax(1), NOT)
        below = enough & (every >= own[:, None]) & (every < size[:, None])
        down = np.where((at + part <= size - 1) & below.any(1), below.argmax(1), NOT)
        return np.where(outside, NOT, np.where(keeps(key, size), down, up))

    return np.where(outside, OUTSIDE, size), blend("waist"), blend("hip")

"""What the bench says: figures, the bar beside each, and how calls are measured in turns. Standard library only."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

NAMES = {
    "pages": "CPU of the overview and of a tester's pages, over a bare signed-in table",
    "queries": "queries of a page at 40, 400 and 4,000 reports",
    "growth": "CPU and waiting of the overview as the database grows",
    "sizes": "kB of the pages",
    "photos": "CPU and memory of preparing a photo, over the bare library; an upload's answer",
    "papers": "CPU of a PDF, over the bare library on the same page",
    "reading": "how good and how fast the readings of invented rounds are",
    "advice": "size advice for many bodies",
    "grade": "the grade check of a large range",
    "processes": "memory of the web process and of the worker",
    "files": "looking into a tiled pattern of sixty pages and comparing it with the next version",
    "lay": "fabric layouts, against an exact solver",
}


@dataclass(frozen=True)
class Figure:
    """One line: what was measured, its value and unit (x for a ratio), the most that is allowed, how it came about."""

    what: str
    value: float
    unit: str = "x"
    bar: float | None = None
    came: str = ""

    @property
    def verdict(self) -> str:
        if self.bar is None:
            return ""
        return "pass" if self.value <= self.bar else "over"


Calls = Mapping[str, Callable[[], object]]


def interleaved(calls: Calls, *, rounds: int, before: Calls | None = None) -> dict[str, float]:
    """Median CPU milliseconds of each call. They take turns, so that a slow moment touches all alike. `before`: what
    happens ahead of a call each time, outside its time.
    """
    taken = _timed(calls, before or {}, rounds, time.process_time)
    return {name: statistics.median(times) for name, times in taken.items()}


def waited(calls: Calls, *, rounds: int, before: Calls | None = None) -> dict[str, float]:
    """The milliseconds within which 95 of 100 calls came back, by the clock on the wall, taken in turns."""
    taken = _timed(calls, before or {}, rounds, time.perf_counter)
    return {name: statistics.quantiles(times, n=20)[-1] for name, times in taken.items()}


def _timed(calls: Calls, before: Calls, rounds: int, clock: Callable[[], float]) -> dict[str, list[float]]:
    for call in calls.values():
        call()
    times: dict[str, list[float]] = {name: [] for name in calls}
    gc.collect()
    for _ in range(rounds):
        for name, call in calls.items():
            before.get(name, int)()
            began = clock()
            call()
            times[name].append((clock() - began) * 1000)
    return times


def over(name: str, floor: str, times: Mapping[str, float]) -> tuple[float, str]:
    """The ratio of two measured calls, and in words what it was made of."""
    return times[name] / times[floor], f"{times[name]:.1f} over {times[floor]:.1f} ms CPU"


def table(figures: Iterable[Figure]) -> str:
    """The figures as a table: what, figure, bar, verdict, how it came about."""
    head = ("what", "figure", "at most", "", "made of")
    rows: list[Sequence[str]] = [head]
    for figure in figures:
        bar = "" if figure.bar is None else _number(figure.bar, figure.unit)
        rows.append((figure.what, _number(figure.value, figure.unit), bar, figure.verdict, figure.came))
    widths = [max(len(row[column]) for row in rows) for column in range(len(head))]
    lines = []
    for row in rows:
        what, value, bar, verdict, came = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        lines.append(f"{what}  {value.strip():>{widths[1]}}  {bar.strip():>{widths[2]}}  {verdict}  {came}".rstrip())
    return "\n".join(lines)


def _number(value: float, unit: str) -> str:
    text = f"{value:.2f}" if unit == "x" else f"{value:,.0f}" if value >= 100 or value == int(value) else f"{value:.1f}"
    return f"{text} {unit}".strip()

"""How good the readings are, on invented rounds that served for nothing else; and how long they take."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from multiprocessing import get_context

from lib.bench_figures import Figure, interleaved
from lib.bench_readings import Tally
from lib.invented_rounds import World, invent
from testing_rounds.counts import count
from testing_rounds.reading import METHODS, USUAL_METHOD, read

# Seeds from here on are held back: nothing was ever tuned on them.
HELD_BACK = 700_000
PROCESSES = 2
USUAL_ROUNDS, FULL_ROUNDS = 40, 1_000

CELLS: dict[str, World] = {
    "2 reports a size": World(reports=(2,)),
    "3 reports a size": World(),
    "4 reports a size": World(reports=(4,)),
    "no fault": World(faults=0),
    "no fault, misfit doubled": World(faults=0, zone_misfit=0.24, cell_misfit=0.30),
    "misfit doubled": World(zone_misfit=0.24, cell_misfit=0.30),
    "knit": World(fabric="knit"),
    "noise x 1.5": World(noise_factor=1.5),
    "4 sizes": World(sizes=4),
    "20 sizes": World(sizes=20),
    "0 to 5 reports a size": World(reports=(1, 2, 3, 4, 5, 0)),
    "two faults in a zone": World(faults=2, double=True),
    "opposite ends": World(faults=1, kinds=("ends",)),
    "10 of 100 at random": World(careless=0.10),
    "25 of 100 at random": World(careless=0.25),
}
BAR_CELLS = ("2 reports a size", "3 reports a size", "4 reports a size")
# The least (or, for those of AT_MOST, the most) at 2, 3 and 4 reports a size.
BARS: dict[str, tuple[float, float, float]] = {
    "alarms": (0.05, 0.05, 0.05),
    "found": (0.69, 0.79, 0.85),
    "right": (0.86, 0.90, 0.92),
    "sizes": (0.92, 0.93, 0.94),
    "sure true": (0.97, 0.97, 0.97),
    "false": (0.07, 0.07, 0.07),
    "error": (0.19, 0.17, 0.16),
    "covers": (0.88, 0.88, 0.88),
}
AT_MOST = {"alarms", "false", "error"}


@dataclass(frozen=True)
class Row:
    """One method in one cell."""

    cell: str
    method: str
    figures: dict[str, float]
    errors: dict[str, float]
    steps: str

    def verdict(self, name: str) -> str:
        """Whether a figure keeps its bar, where it has one; a miss within two standard errors passes."""
        value = self.figures[name]
        if self.cell not in BAR_CELLS or math.isnan(value):
            return ""
        bar = BARS[name][BAR_CELLS.index(self.cell)]
        missed = (value - bar) * (1 if name in AT_MOST else -1)
        return "" if missed <= 2 * self.errors[name] else "!"


def reading(*, full: bool, rounds: int = 0) -> list[Figure]:
    """Print the table of the bars; give how long a round takes."""
    many = rounds or (FULL_ROUNDS if full else USUAL_ROUNDS)
    print(f"{many} rounds a cell, seeds from {HELD_BACK}; ! misses its bar by more than two standard errors.")
    print("\n".join(_table(list(_rows(many)))))
    return list(_times(20 if full else 7))


def _rows(many: int) -> Iterator[Row]:
    asked = [(cell, number, many) for number, cell in enumerate(CELLS)]
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with ProcessPoolExecutor(PROCESSES, mp_context=get_context("spawn")) as pool:
        for rows in pool.map(_cell, asked):
            yield from rows


def _cell(asked: tuple[str, int, int]) -> list[Row]:
    """Both methods on the same rounds of one cell."""
    cell, number, many = asked
    tallies = {method: Tally() for method in ("plain", USUAL_METHOD)}
    for seed in range(many):
        made = invent(CELLS[cell], HELD_BACK + number * 10_000 + seed)
        for method, tally in tallies.items():
            tally.add(made, read(made.data, method=method))
    return [Row(cell, method, tally.figures(), tally.spreads(), tally.steps()) for method, tally in tallies.items()]


def _table(rows: list[Row]) -> Iterator[str]:
    names = list(BARS)
    yield "  ".join([f"{'':24}", f"{'method':8}", *(f"{name:>9}" for name in names), "small, medium steps named"])
    for row in rows:
        cells = [
            f"{'':>9}" if math.isnan(row.figures[name]) else f"{row.figures[name]:8.3f}{row.verdict(name) or ' '}"
            for name in names
        ]
        yield "  ".join([f"{row.cell:24}", f"{row.method:8}", *cells, row.steps])


def _times(rounds: int) -> Iterator[Figure]:
    from lib.bench_world import invented  # not in the processes that read: they know no database

    usual = invented(36, sizes=12, zone_count=12)
    large = invented(400, sizes=20, zone_count=30)
    calls: dict[str, Callable[[], object]] = {
        f"{name}, {method}": lambda data=data, method=method: (  # type: ignore[misc]
            count(replace(data)),
            read(replace(data), method=method),
        )
        for name, data in (("12 x 12", usual), ("20 x 30", large))
        for method in METHODS
    }
    times = interleaved(calls, rounds=rounds)
    for name, took in times.items():
        bar = 50 if name.startswith("12") else 1_000
        of = "36 reports" if name.startswith("12") else "400 reports"
        yield Figure(f"sizes x zones {name}, {of}: counted and read", took, "ms", bar=bar)

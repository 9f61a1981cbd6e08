"""Which answers a reading uses, and what of each is explained already: by the body, the print or the wrong size."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from testing_rounds.counts import Counts
from testing_rounds.likelihood.world import UNKNOWN_BUST_CM, Floats, Ints, Mask, step_of
from testing_rounds.round_data import Report, RoundData, Zone
from testing_rounds.set_aside import ALTERED, PERSON, TOILE, VERSION, Answer
from testing_rounds.zones import finished_points

# An answer with one of these reasons is left out; the others are corrected for.
LEFT_OUT = frozenset({PERSON, VERSION, ALTERED, TOILE})
# Prints nearer than this to their true size are not corrected.
PRINT_SHARE = 0.015
# What a print that is off, and a body in the wrong size, add to the noise, and what they shift.
SHIFTED_NOISE, MISSING_BODY = 0.6, 0.65
PRINT_SHIFT = 1.5
WRONG_SIZE, WRONG_SIZE_SHIFT, GIRTHS = 0.85, -0.4, ("bust", "waist", "hip")
HAIR = 1e-9

# cm of the garment that shrink and grow with the print at a zone in a size.
Printed = Callable[[RoundData, Zone, int], float]


@dataclass(frozen=True)
class Usable:
    """The usable answers as rows of equal length, and `units`, one unit of misfit in cm (zones x sizes).

    `unit` is that of the answer, `shift` what print and wrong size explain, `body` how many steps the
    body lies off the chart, `unknown` whether that is not known where it matters, `variance` the noise added,
    `asked` the change asked for in the direction of the complaint (cm, NaN where there is none).
    """

    units: Floats
    report: Ints
    zone: Ints
    size: Ints
    tick: Ints
    unit: Floats
    shift: Floats
    body: Floats
    unknown: Floats
    variance: Floats
    asked: Floats

    def __len__(self) -> int:
        return len(self.tick)

    def only(self, rows: Mask) -> Usable:
        """Some of the answers (a mask)."""
        columns = [value[rows] for name, value in vars(self).items() if name != "units"]
        return Usable(self.units, *columns)


def usable(data: RoundData, counts: Counts, printed: Printed | None = None) -> Usable:
    """The usable answers of a round. `printed` says what a print shifts at a zone; the bust where it is not given."""
    case = _Case(data, printed or bust_of)
    rows = [
        case.row(answer)
        for cell in counts.cells.values()
        for answer in (*cell.counted_answers, *cell.aside)
        if is_used(answer)
    ]
    rows.sort(key=lambda row: row[:2])
    columns = np.array(rows, dtype=float).reshape(len(rows), 10).T
    whole = [column.astype(np.int64) for column in columns[:4]]
    return Usable(case.units, *whole, *columns[4:])


def is_used(answer: Answer) -> bool:
    """Whether an answer is weighed at all: what was put back is."""
    return answer.put_back is not None or not any(reason.code in LEFT_OUT for reason in answer.reasons)


def own_measure(data: RoundData, zone: Zone, size: int) -> float:
    """What the print shrinks at a zone: the zone's own finished measurement, else the body's, else the bust."""
    for point in finished_points(zone):
        row = data.finished_chart.get(point)
        if row and (value := row[size]):
            return value
    row = data.body_chart.get(zone.body_point or "") if zone.body_point != "height" else None
    value = row[size] if row else None
    return bust_of(data, zone, size) if value is None else value


def bust_of(data: RoundData, zone: Zone, size: int) -> float:
    """The chart's bust, whatever the zone."""
    row = data.body_chart.get("bust")
    value = row[size] if row else None
    return UNKNOWN_BUST_CM if value is None else value


class _Case:
    """The charts of one round, looked up once."""

    def __init__(self, data: RoundData, printed: Printed) -> None:
        self.data, self.printed = data, printed
        bust = data.body_chart.get("bust")
        self.zones = {zone.key: i for i, zone in enumerate(data.zones)}
        self.sizes = {size: i for i, size in enumerate(data.sizes)}
        self.steps = [step_of(bust, i) for i in range(len(data.sizes))]
        self.units: Floats = np.array(
            [[zone.scale_cm or step / 2 for step in self.steps] for zone in data.zones], dtype=float
        ).reshape(len(data.zones), len(data.sizes))

    def row(self, answer: Answer) -> tuple[float, ...]:
        """report, zone, size, tick, unit, shift, body, unknown, variance, asked."""
        at, size = self.zones[answer.zone], self.sizes[answer.size]
        zone, report = self.data.zones[at], self.data.reports[answer.report]
        unit = float(self.units[at, size])
        asked = -answer.change * np.sign(answer.fit) if answer.fit and answer.change else -1.0
        known = (answer.report, at, size, answer.fit, unit)
        if answer.put_back is not None:
            return (*known, 0.0, 0.0, 0.0, 0.0, asked if asked > 0 else np.nan)
        body, unknown = self._body(zone, report, size, unit)
        shifts = [*self._print(zone, report, size, unit), *self._wrong_size(zone, report, size)]
        variance = SHIFTED_NOISE**2 * len(shifts)
        return (*known, sum(shifts), body, unknown, variance, asked if asked > 0 else np.nan)

    def _body(self, zone: Zone, report: Report, size: int, unit: float) -> tuple[float, float]:
        """How many steps the body lies off the chart; and whether nobody knows."""
        if zone.body_point is None:
            return 0.0, 0.0
        own, chart = report.body.get(zone.body_point), self._chart(zone.body_point, size)
        if own is None or chart is None:
            return 0.0, 1.0
        return (own - chart) / (2 * unit), 0.0

    def _print(self, zone: Zone, report: Report, size: int, unit: float) -> Iterable[float]:
        read, nominal = report.test_square, self.data.test_square
        if read is None or not nominal:
            return
        ratio = read / nominal
        if abs(ratio - 1) > PRINT_SHARE + HAIR:
            yield PRINT_SHIFT * (ratio - 1) * self.printed(self.data, zone, size) / (2 * unit)

    def _wrong_size(self, zone: Zone, report: Report, size: int) -> Iterable[float]:
        if zone.body_point is not None:
            return
        found = [
            (own - chart) / self.steps[size]
            for point in GIRTHS
            if (own := report.body.get(point)) is not None and (chart := self._chart(point, size)) is not None
        ]
        mean = sum(found) / len(found) if len(found) >= 2 else 0.0
        if abs(mean) > WRONG_SIZE + HAIR:
            yield WRONG_SIZE_SHIFT * mean

    def _chart(self, point: str, size: int) -> float | None:
        row = self.data.body_chart.get(point)
        return row[size] if row else None

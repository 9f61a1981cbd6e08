"""A zone's proposed correction out of the database: what testers estimate, and what the grade check finds there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from measurements.charts import ChartTable
from measurements.finished_measures import FINISHED_MEASURES
from measurements.translated import in_words
from testing_rounds.chart_tables import Charts
from testing_rounds.correction import Correction, Estimate, Graded, asked_estimate, correct, rounding_of
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_words import covered
from testing_rounds.overview_words import STYLE, mm
from testing_rounds.reading import Reading
from testing_rounds.round_data import Zone
from testing_rounds.zones import finished_points

# Findings of the grade check that propose what a finished measurement should be.
TELLING = {"slip", "break", "ease"}
# An estimate of less is none: it rounds to nothing.
LEAST_CM = 0.05


@dataclass(frozen=True)
class ZoneCorrection:
    """The proposal of a zone with the measurement that it changes, and both charts."""

    charts: Charts
    measure: str
    name: str
    correction: Correction

    @property
    def says(self) -> str:
        """Which number is taken, and why."""
        return in_words(self.correction.says)

    @property
    def graded_says(self) -> str:
        """The grade check's own sentence, "" where it has none."""
        return in_words(self.correction.graded.says, STYLE) if self.correction.graded else ""


def zone_correction(evidence: Evidence, zone: Zone, charts: Charts | None = None) -> ZoneCorrection | None:
    """The proposal of one zone; None where no finished measurement shows it."""
    charts = charts or Charts.of(evidence.found.version)
    measure = measure_of(zone, charts.finished) if charts else ""
    if charts is None or not measure:
        return None
    reading, line = evidence.readings[zone.key], charts.finished.line(measure)
    row = line.mm if line else ()
    touched = touched_by(evidence, reading)
    graded = graded_at(charts, measure) if touched else ()
    inches = bool(line and any(cell and cell.unit == "in" for cell in line.cells))
    found = correct(
        measure,
        reading.reading,
        reading.direction,
        touched,
        evidence.data.sizes,
        estimate=estimate_of(evidence, reading, touched),
        graded=graded,
        steps=rounding_of(row, inches=inches),
    )
    return ZoneCorrection(charts, measure, measure_name(measure, line.label if line else ""), found)


def measure_of(zone: Zone, finished: ChartTable) -> str:
    """The finished measurement that shows a zone, as far as the chart has it; "" for none."""
    return next((key for key in finished_points(zone) if finished.line(key)), "")


def measure_name(key: str, label: str) -> str:
    return _(FINISHED_MEASURES[key].name) if key in FINISHED_MEASURES else label


def touched_by(evidence: Evidence, reading: Reading) -> tuple[str, ...]:
    """The sizes that a reading speaks of; of what is only watched, those that complain."""
    if reading.level == "repeated":
        return covered(reading, evidence.data.sizes)
    return tuple(cell.size for cell in evidence.counts.row(reading.zone) if cell.repeated(reading.direction))


def estimate_of(evidence: Evidence, reading: Reading, touched: Sequence[str]) -> Estimate:
    """The method's own estimate where it gives one, else the changes that testers asked for."""
    if reading.correction_cm:
        told = {size: mm(cm) for size, cm in reading.correction_cm.items() if size in touched or abs(cm) >= LEAST_CM}
        ranges = (reading.interval_cm or {}).items()
        return Estimate(told, {size: (mm(low), mm(high)) for size, (low, high) in ranges if size in told})
    asked: dict[str, list[Decimal]] = defaultdict(list)
    for answer in evidence.answers(reading.zone):
        if answer.counted and answer.change and answer.fit * reading.direction > 0 and answer.size in touched:
            asked[answer.size].append(mm(answer.change))
    return asked_estimate(asked, pooled=reading.reading == "whole_range")


def graded_at(charts: Charts, measure: str) -> Iterable[Graded]:
    """What the grade check of the version's charts proposes for a finished measurement, as changes."""
    for finding in charts.findings:
        if finding.chart == "finished" and finding.measure == measure and finding.kind in TELLING and finding.proposed:
            now = {size: charts.finished.mm_at(measure, size) for size, _length in finding.proposed}
            changes = {size: length - was for size, length in finding.proposed if (was := now[size]) is not None}
            yield Graded(finding.says, changes)

"""The evidence of a round as pages and papers need it: counts and readings beside the rows they came from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from testing_rounds import reading
from testing_rounds.counts import Counts, count
from testing_rounds.models import FitReport, Place, PlaceState, Round, RoundState, Stage
from testing_rounds.reading import Flag, Reading
from testing_rounds.round_data import RoundData, Zone
from testing_rounds.round_store import load_round
from testing_rounds.set_aside import Answer

SEWING = {PlaceState.ACCEPTED, PlaceState.FINISHED}


@dataclass(frozen=True)
class Evidence:
    """One stage of a round, weighed. `rows[i]` is the report that `data.reports[i]` was read from."""

    found: Round
    stage: str
    stages: tuple[str, ...]
    places: tuple[Place, ...]
    drafts: tuple[FitReport, ...]
    rows: tuple[FitReport, ...]
    data: RoundData

    @cached_property
    def counts(self) -> Counts:
        return count(self.data)

    @cached_property
    def readings(self) -> dict[str, Reading]:
        """What is read of each zone: as the worker stored it, else read now."""
        stored = stored_reading(self.found, self.stage)
        return {one.zone: one for one in stored or reading.read(self.data, stage=self.stage)}

    @cached_property
    def flags(self) -> tuple[Flag, ...]:
        return tuple(reading.flags(self.counts, self.readings.values()))

    @cached_property
    def zones(self) -> dict[str, Zone]:
        return {zone.key: zone for zone in self.data.zones}

    def row(self, answer: Answer) -> FitReport:
        """The report that an answer stands in."""
        return self.rows[answer.report]

    def answers(self, zone: str) -> list[Answer]:
        """All answers of a zone, set aside or not, size by size."""
        cells = self.counts.row(zone)
        return [answer for cell in cells for answer in (*cell.counted_answers, *cell.aside)]

    @cached_property
    def set_aside(self) -> list[Answer]:
        """Every answer that does not count."""
        return [answer for cell in self.counts.cells.values() for answer in cell.aside]

    def missing(self) -> list[Place]:
        """Testers of the panel who have not sent a report of this stage. Of a later stage than the toile only those
        who have begun one are expected to."""
        sent, begun = {row.place_id for row in self.rows}, {draft.place_id for draft in self.drafts_of_stage}
        expected = {PlaceState.INVITED, PlaceState.ACCEPTED}
        return [
            place
            for place in self.places
            if place.pk not in sent and (place.state in expected if self.stage == Stage.TOILE else place.pk in begun)
        ]

    @cached_property
    def drafts_of_stage(self) -> list[FitReport]:
        """The reports of this stage that were begun and not sent."""
        return [draft for draft in self.drafts if draft.stage == self.stage]

    def waiting(self) -> list[Place]:
        """Those of them whose report may still come: nobody, once the round is closed."""
        return [] if self.found.state == RoundState.CLOSED else self.missing()

    def late(self, today: date) -> list[Place]:
        """Those of them whose report was due before today."""
        due = self.found.report_due
        return self.waiting() if due is not None and due < today else []


def stored_reading(found: Round, stage: str, method: str = reading.USUAL_METHOD) -> list[Reading]:
    """What was read of a round at its revision, by the worker or for a decision; nothing where that is not yet so.

    A page that finds it needs neither numpy nor scipy.
    """
    kept = found.stored_readings.filter(revision=found.revision, method=method).first()
    return [Reading.from_dict(values) for values in kept.readings.get(stage, ())] if kept else []


def weigh(found: Round, *, stage: str = "") -> Evidence:
    """The evidence of a round at one stage (toile unless another is asked), in nine queries whatever its size."""
    places = {place.pk: place for place in found.places.all()}
    reports = list(FitReport.objects.filter(place__round=found).order_by("id"))
    for report in reports:
        report.place = places[report.place_id]
    sent = [report for report in reports if report.submitted_at]
    stages = _stages(sent)
    stage = stage if stage in stages else stages[0]
    rows = [report for report in sent if report.stage == stage]
    return Evidence(
        found=found,
        stage=stage,
        stages=stages,
        places=tuple(places.values()),
        drafts=tuple(report for report in reports if not report.submitted_at),
        rows=tuple(rows),
        data=load_round(found, reports=rows, steps=False),
    )


def _stages(sent: Sequence[FitReport]) -> tuple[str, ...]:
    """The stages that have reports, toile first; toile alone where there are none."""
    named = dict.fromkeys([*Stage.values, *(report.stage for report in sent)])
    there = {report.stage for report in sent}
    return tuple(stage for stage in named if stage in there) or (Stage.TOILE.value,)

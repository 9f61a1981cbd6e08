"""The evidence of a round as pages and papers need it: counts and readings beside the rows they came from."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from django.conf import settings
from django.db.models import OuterRef, QuerySet, Subquery

from measurements.sentences import Sentence
from testing_rounds import reading
from testing_rounds.bodies import bodies_are_shown
from testing_rounds.counts import Counts, count
from testing_rounds.due import due_day
from testing_rounds.kept_parts import KeptParts
from testing_rounds.models import FitReport, Place, PlaceState, Round, RoundState, Stage, StoredReading
from testing_rounds.reading import Flag, Reading
from testing_rounds.round_data import RoundData, Zone
from testing_rounds.round_store import load_round
from testing_rounds.set_aside import Answer, without_measures

SEWING = {PlaceState.ACCEPTED, PlaceState.FINISHED}


class Weighed:
    """The reports of one stage as plain values, with what is counted and read of them: the same for all who look
    while the round's revision is the same, and without a name."""

    def __init__(self, data: RoundData, stage: str, readings: dict[str, Reading] | None = None) -> None:
        self.data, self.stage, self._readings = data, stage, readings

    @cached_property
    def counts(self) -> Counts:
        return count(self.data)

    def readings_of(self, found: Round) -> dict[str, Reading]:
        if self._readings is None:
            stored = stored_reading(found, self.stage)
            self._readings = {one.zone: one for one in stored or reading.read(self.data, stage=self.stage)}
        return self._readings


_kept: KeptParts[Weighed] = KeptParts(settings.ROUNDS_KEPT)


@dataclass(frozen=True)
class Evidence:
    """One stage of a round, weighed. `rows[i]` is the report that `data.reports[i]` was read from; `sent` are the
    reports of all stages.
    """

    found: Round
    stage: str
    stages: tuple[str, ...]
    drafts: tuple[FitReport, ...]
    sent: tuple[FitReport, ...]
    rows: tuple[FitReport, ...]
    weighed: Weighed

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """Everybody of the panel, by the same objects as the reports have."""
        known = {report.place_id: report.place for report in (*self.sent, *self.drafts)}
        return tuple(known.get(place.pk, place) for place in self.found.places.all())

    @property
    def data(self) -> RoundData:
        return self.weighed.data

    @property
    def counts(self) -> Counts:
        return self.weighed.counts

    @property
    def readings(self) -> dict[str, Reading]:
        """What is read of each zone: as the worker stored it, else read now."""
        return self.weighed.readings_of(self.found)

    @cached_property
    def flags(self) -> tuple[Flag, ...]:
        return tuple(reading.flags(self.counts, self.readings.values()))

    @cached_property
    def shows_bodies(self) -> bool:
        """Whether pages may still name what bodies measure."""
        return bodies_are_shown(self.found)

    @cached_property
    def zones(self) -> dict[str, Zone]:
        return {zone.key: zone for zone in self.data.zones}

    def only(self, told: Callable[[FitReport], bool]) -> Evidence:
        """The counts of some reports alone; what is read stays what all of them say."""
        kept = [at for at, row in enumerate(self.rows) if told(row)]
        data = replace(self.data, reports=tuple(self.data.reports[at] for at in kept))
        weighed = Weighed(data, self.stage, self.readings)
        return replace(self, rows=tuple(self.rows[at] for at in kept), weighed=weighed)

    def row(self, answer: Answer) -> FitReport:
        """The report that an answer stands in."""
        return self.rows[answer.report]

    def answers(self, zone: str) -> list[Answer]:
        """All answers of a zone, set aside or not, size by size."""
        cells = self.counts.row(zone)
        return [answer for cell in cells for answer in (*cell.counted_answers, *cell.aside)]

    def reasons(self, answer: Answer) -> list[Sentence]:
        """Why an answer does not count, as the studio's people may still read it."""
        told = answer.reasons if self.shows_bodies else map(without_measures, answer.reasons)
        return [reason.sentence for reason in told]

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
        """Those of them whose report was due before today, with the days that they asked for."""
        return [place for place in self.waiting() if (due := self.due_of(place)) is not None and due < today]

    def due_of(self, place: Place) -> date | None:
        """The last day for a tester's report of this stage."""
        return due_day(place) if self.stage == Stage.TOILE else self.found.finished_due


def stored_reading(found: Round, stage: str, method: str = reading.USUAL_METHOD) -> list[Reading]:
    """What was read of a round at its revision, by the worker or for a decision; nothing where that is not yet so.

    A page that finds it needs neither numpy nor scipy.
    """
    if method == reading.USUAL_METHOD and hasattr(found, "stored_now"):
        kept = found.stored_now
    else:
        stored = found.stored_readings.filter(revision=found.revision, method=method)
        kept = stored.values_list("readings", flat=True).first()
    return [Reading.from_dict(values) for values in kept.get(stage, ())] if kept else []


def stored_with(rounds: QuerySet[Round]) -> QuerySet[Round]:
    """Rounds that bring along what was read of them at their revision, as `stored_now`: a page that certainly needs it
    then asks once less."""
    stored = StoredReading.objects.filter(
        round=OuterRef("pk"), revision=OuterRef("revision"), method=reading.USUAL_METHOD
    )
    return rounds.annotate(stored_now=Subquery(stored.values("readings")[:1]))


def weigh(found: Round, *, stage: str = "", kept: bool = False) -> Evidence:
    """The evidence of a round at one stage (toile unless another is asked), in a few queries whatever its size.

    `kept`: a page that was just asked for may use what an earlier one read at the same revision. Whoever writes in the
    same transaction must not: it may be undone, and the revision be used again.
    """
    reports = _reports(found)
    sent = [report for report in reports if report.submitted_at]
    stages = _stages(sent)
    stage = stage if stage in stages else stages[0]
    rows = [report for report in sent if report.stage == stage]

    def read() -> Weighed:
        return Weighed(load_round(found, reports=rows, steps=False), stage)

    return Evidence(
        found=found,
        stage=stage,
        stages=stages,
        drafts=tuple(report for report in reports if not report.submitted_at),
        sent=tuple(sent),
        rows=tuple(rows),
        weighed=_kept.get(_key(found, stage, rows), read) if kept else read(),
    )


def _reports(found: Round) -> list[FitReport]:
    """The reports and drafts of a round, those of one tester with the same place; the round's own where it has them."""
    at_hand = "places" in getattr(found, "_prefetched_objects_cache", {})
    reports = FitReport.objects.filter(place__round=found).order_by("id")
    places = {place.pk: place for place in found.places.all()} if at_hand else {}
    found_reports = list(reports if at_hand else reports.select_related("place"))
    for report in found_reports:
        report.place = places.setdefault(report.place_id, places.get(report.place_id) or report.place)
    return found_reports


def _key(found: Round, stage: str, rows: Sequence[FitReport]) -> Hashable:
    """All that the plain values depend on: the reports by the revision, and what of the version no revision counts."""
    version, pattern = found.version, found.version.pattern
    charts = tuple(chart.ref if chart else "" for chart in (version.body_chart, version.finished_chart))
    plan = (str(version.sizes), version.base_size, version.number, version.test_square_mm, str(found.zones))
    garment = (pattern.name, pattern.kind, pattern.fabric, pattern.height_mm, str(pattern.carried))
    return found.ref, found.revision, stage, tuple(row.pk for row in rows), charts, plan, garment


def _stages(sent: Sequence[FitReport]) -> tuple[str, ...]:
    """The stages that have reports, toile first; toile alone where there are none."""
    named = dict.fromkeys([*Stage.values, *(report.stage for report in sent)])
    there = {report.stage for report in sent}
    return tuple(stage for stage in named if stage in there) or (Stage.TOILE.value,)

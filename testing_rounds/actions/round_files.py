"""A round file becomes a round: pattern, charts, version, places and reports, all or nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from measurements.chart_store import chart_from_columns
from measurements.models import BodyRecord, BodyValue, ChartAbout, ChartRevision
from people import audit
from people.models import Person, Studio
from releases.models import GarmentKind, Pattern, Version, VersionState
from testing_rounds.jobs import read_again
from testing_rounds.models import (
    FitReport,
    Place,
    PlaceState,
    Round,
    RoundState,
    StepNote,
    ToileMeasure,
    WeighedByHand,
    Weighing,
    ZoneVerdict,
)
from testing_rounds.round_data import Report, RoundData
from testing_rounds.round_store import zone_entry


class AlreadyThereError(Exception):
    """The studio has this version of this pattern, with reports of its own."""

    def __init__(self, pattern: str, version: str) -> None:
        super().__init__(f"This studio already has {pattern} {version}; nothing was changed.")


@transaction.atomic
def import_round(*, studio: Studio, data: RoundData, by: Person | None) -> Round:
    """Write a round file into a studio. Raises AlreadyThereError, and then nothing is changed."""
    version = _version(studio, data, by)
    made = Round.objects.create(
        version=version,
        name="Round 1",
        state=RoundState.CLOSED,
        zones=[zone_entry(zone) for zone in data.zones],
        carried=_kept(extra=data.extra, keys=data.keys),
        revision=1,
    )
    _reports(made, data)
    audit.record(studio=studio, by=by, verb="round imported", thing=made, content=len(data.reports))
    if data.reports:
        read_again.enqueue(made.pk)
    return made


def mm(value: float) -> Decimal:
    """Centimetres of a round file in millimetres, exactly as written."""
    return Decimal(str(value)) * 10


def mm_or_none(value: float | None) -> Decimal | None:
    return None if value is None else mm(value)


def _kept(**parts: Any) -> dict[str, Any]:
    return {name: list(part) if isinstance(part, tuple) else part for name, part in parts.items() if part}


def _version(studio: Studio, data: RoundData, by: Person | None) -> Version:
    pattern, _made = Pattern.objects.get_or_create(studio=studio, name=data.pattern, defaults=_pattern_fields(data))
    if pattern.versions.filter(number=data.version).exists():
        raise AlreadyThereError(data.pattern, data.version)
    body = _chart(studio, data, data.body_chart, ChartAbout.BODY, by)
    if body and pattern.chart is None:
        pattern.chart = body.chart
        pattern.save(update_fields=["chart"])
    square = mm_or_none(data.test_square)
    return Version.objects.create(
        pattern=pattern,
        number=data.version,
        state=VersionState.IN_TESTING,
        body_chart=body,
        finished_chart=_chart(studio, data, data.finished_chart, ChartAbout.FINISHED, by),
        sizes=list(data.sizes),
        base_size=data.base_size or "",
        test_square_mm=square,
        test_square_typed="" if square is None else f"{data.test_square:g} cm",
    )


def _pattern_fields(data: RoundData) -> dict[str, Any]:
    kind = data.pattern_extra.get("kind")
    return {
        "kind": kind if kind in GarmentKind.values else _likely_kind({zone.key for zone in data.zones}),
        "fabric": data.fabric,
        "height_mm": mm_or_none(data.drafted_height),
        "height_typed": "" if data.drafted_height is None else f"{data.drafted_height:g} cm",
        "carried": {
            "extra": data.pattern_extra,
            **_kept(keys=data.pattern_keys),
            **({} if data.stretch is None else {"stretch": data.stretch}),
        },
    }


def _likely_kind(zones: set[str]) -> str:
    """The file does not say what the garment is: its zones do."""
    if "rise" in zones or "thigh" in zones:
        return GarmentKind.TROUSERS
    above, below = zones & {"bust", "neck", "shoulder", "back_length"}, zones & {"hip", "high_hip"}
    if above and zones & {"upper_arm", "sleeve_length", "cap"}:
        return GarmentKind.SHIRT
    return GarmentKind.DRESS if above and below else GarmentKind.SKIRT if below else GarmentKind.BODICE


def _chart(
    studio: Studio,
    data: RoundData,
    columns: Mapping[str, tuple[float | None, ...]],
    about: ChartAbout,
    by: Person | None,
) -> ChartRevision | None:
    if not columns:
        return None
    what = "body" if about == ChartAbout.BODY else "finished"
    return chart_from_columns(
        studio=studio,
        name=f"{data.pattern} {data.version}, {what}"[:120],
        about=about,
        sizes=data.sizes,
        base=data.base_size,
        columns={key: [mm_or_none(value) for value in values] for key, values in columns.items()},
        by=by,
    )


def _reports(made: Round, data: RoundData) -> None:
    """All reports, table by table. The body stands with the place, as the tester's first report gave it."""
    places: dict[str, tuple[Place, Report]] = {}
    for report in data.reports:
        if report.tester not in places:
            places[report.tester] = _place(made, report), report
    rows = FitReport.objects.bulk_create(_report(made, *places[report.tester], report) for report in data.reports)
    pairs = list(zip(rows, data.reports, strict=True))
    ZoneVerdict.objects.bulk_create(part for pair in pairs for part in _verdicts(*pair))
    ToileMeasure.objects.bulk_create(part for pair in pairs for part in _toile_measures(*pair))
    StepNote.objects.bulk_create(part for pair in pairs for part in _step_notes(*pair))
    WeighedByHand.objects.bulk_create(part for pair in pairs for part in _weighed(*pair))


def _place(made: Round, report: Report) -> Place:
    body = None
    known = {key: value for key, value in report.body.items() if value is not None}
    if known:
        body = BodyRecord.objects.create(studio=made.version.pattern.studio)
        BodyValue.objects.bulk_create(
            BodyValue(record=body, key=key, mm=mm(value), typed=f"{value:g}", unit="cm") for key, value in known.items()
        )
    return Place.objects.create(round=made, state=PlaceState.FINISHED, alias=report.tester, size=report.size, body=body)


def _report(made: Round, place: Place, first: Report, report: Report) -> FitReport:
    said = {"body_said": dict(report.body)} if report.body != first.body else {}
    return FitReport(
        place=place,
        stage=report.stage,
        version=made.version,
        version_said=report.version or "",
        size=report.size,
        sizes=report.sizes,
        file_kind=report.file or "",
        test_square_mm=mm_or_none(report.test_square),
        stretch=report.fabric.get("stretch"),
        submitted_at=_when(report.submitted),
        submitted_said=report.submitted or "",
        carried=_kept(
            extra=report.extra,
            keys=report.keys,
            fabric={key: value for key, value in report.fabric.items() if key != "stretch"},
            body={key: value for key, value in report.body.items() if value is None},
            toile={key: value for key, value in report.toile.items() if value is None},
        )
        | said,
    )


def _verdicts(row: FitReport, report: Report) -> Iterator[ZoneVerdict]:
    for zone, answer in report.zones.items():
        yield ZoneVerdict(
            report=row,
            zone=zone,
            fit=answer.fit,
            altered=answer.altered,
            change_mm=mm_or_none(answer.change),
            change_typed="" if answer.change is None else f"{answer.change:g}",
            carried=_kept(extra=answer.extra, keys=answer.keys),
        )


def _toile_measures(row: FitReport, report: Report) -> Iterator[ToileMeasure]:
    for key, value in report.toile.items():
        if value is not None:
            yield ToileMeasure(report=row, key=key, mm=mm(value), typed=f"{value:g}")


def _step_notes(row: FitReport, report: Report) -> Iterator[StepNote]:
    for i, note in enumerate(report.steps):
        yield StepNote(report=row, position=i, carried={"note": note}, **_note_fields(note))


def _when(said: str | None) -> Any:
    """The time of sending; a file that gives none, or none that can be read, was sent when it was read."""
    try:
        at = parse_datetime(said or "")
    except ValueError:
        at = None
    if at is None:
        return timezone.now()
    return timezone.make_aware(at) if timezone.is_naive(at) else at


def _note_fields(note: Any) -> dict[str, Any]:
    """What the app can show of a file's note on a step; the whole note is carried beside it."""
    if not isinstance(note, dict):
        return {"text": str(note)}
    step = note.get("step")
    return {
        "text": str(note.get("text") or note.get("note") or ""),
        "step": step if isinstance(step, int) and 0 < step < 1000 else None,
    }


def _weighed(row: FitReport, report: Report) -> Iterator[WeighedByHand]:
    for what, words in ((Weighing.ASIDE, report.set_aside), (Weighing.BACK, report.put_back)):
        for word in words:
            carried = _kept(extra=word.extra, keys=word.keys)
            yield WeighedByHand(report=row, zone=word.zone, what=what, reason=word.reason, carried=carried)

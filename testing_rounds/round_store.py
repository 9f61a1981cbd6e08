"""A round of the database as plain values: the one adapter between the models and all evidence.

The number of queries is the same for 4 reports as for 4,000.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.db.models import F, TextField, Value
from django.db.models.functions import Cast

from measurements.charts import ChartTable
from measurements.models import BodyValue, ChartRevision
from releases.models import Fabric
from testing_rounds.chart_tables import columns, tables_of
from testing_rounds.models import FitReport, Round, StepNote, ToileMeasure, WeighedByHand, Weighing, ZoneVerdict
from testing_rounds.round_data import Override, Report, RoundData, Zone, ZoneAnswer

ZONE_KEYS = ("key", "label", "low", "high", "body_point", "scale_cm")


def load_round(found: Round, *, reports: Sequence[FitReport] | None = None, steps: bool = True) -> RoundData:
    """The sent reports of a round with its charts, in the order of `reports` where those are given
    (with their places). `steps`: with the notes on instruction steps.
    """
    if reports is None:
        reports = sent_reports(found)
    version, pattern = found.version, found.version.pattern
    tables = tables_of([version.body_chart, version.finished_chart])
    carried, said = found.carried, pattern.carried
    return RoundData(
        pattern=pattern.name,
        # A round file knows woven and knit: what is cut on the bias is woven.
        fabric="knit" if pattern.fabric == Fabric.KNIT else "woven",
        version=version.number,
        sizes=tuple(version.sizes),
        base_size=version.base_size or None,
        test_square=cm(version.test_square_mm),
        body_chart=_chart(tables, version.body_chart, version.sizes),
        finished_chart=_chart(tables, version.finished_chart, version.sizes),
        zones=tuple(zone(entry) for entry in found.zones),
        reports=tuple(_reports(found, reports, steps=steps)),
        drafted_height=cm(pattern.height_mm),
        stretch=said.get("stretch"),
        pattern_extra=said.get("extra", {"kind": pattern.kind}),
        pattern_keys=tuple(said.get("keys", ())),
        extra=carried.get("extra", {}),
        keys=tuple(carried.get("keys", ())),
    )


def zone(entry: Mapping[str, Any]) -> Zone:
    """A zone as a round keeps it: the round file's own form."""
    known = {key: entry[key] for key in ZONE_KEYS if key in entry}
    extra = {key: value for key, value in entry.items() if key not in ZONE_KEYS}
    return Zone(**known, extra=extra, keys=tuple(entry))


def zone_entry(zone: Zone) -> dict[str, Any]:
    """A zone in the form in which a round keeps it: that of the round file, the keys in the file's order."""
    full = {
        "key": zone.key,
        "label": zone.label,
        "low": zone.low,
        "high": zone.high,
        "body_point": zone.body_point,
        "scale_cm": zone.scale_cm,
        **zone.extra,
    }
    if zone.keys:
        return {key: full[key] for key in zone.keys}
    return {key: value for key, value in full.items() if value is not None or key in zone.extra}


def cm(mm: Decimal | None) -> float | None:
    """Millimetres as stored, in centimetres."""
    return None if mm is None else float(mm / 10)


def _chart(
    tables: Mapping[int, ChartTable], revision: ChartRevision | None, sizes: Iterable[str]
) -> dict[str, tuple[float | None, ...]]:
    if revision is None:
        return {}
    by_measure = columns(tables[revision.pk])
    return {key: tuple(cm(by_size.get(size)) for size in sizes) for key, by_size in by_measure.items()}


def _by_report(rows: Iterable[Any], key: Callable[[Any], int]) -> dict[int, list[Any]]:
    grouped: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        grouped[key(row)].append(row)
    return grouped


def sent_reports(found: Round) -> list[FitReport]:
    """The reports that were sent, with their places, oldest first."""
    sent = FitReport.objects.filter(place__round=found, submitted_at__isnull=False)
    return list(sent.select_related("place").order_by("id"))


def _reports(found: Round, reports: Sequence[FitReport], *, steps: bool) -> Iterable[Report]:
    """The reports with their rows, read as plain values: a round has thousands, and each needs a few fields."""
    of_round = {"report__place__round": found, "report__submitted_at__isnull": False}
    verdicts = (
        ZoneVerdict.objects.filter(**of_round)
        .order_by("id")
        .annotate(more=Cast("carried", TextField()))
        .values_list("report_id", "zone", "fit", "altered", "change_mm", "more", named=True)
    )
    weighed = WeighedByHand.objects.filter(**of_round).values_list(
        "report_id", "zone", "what", "reason", "carried", named=True
    )
    notes = StepNote.objects.filter(**of_round) if steps else []
    bodies, toile_of = _measures(found)
    by_report = [_by_report(rows, lambda row: row.report_id) for rows in (verdicts, weighed, notes)]
    verdicts_of, weighed_of, notes_of = by_report
    for report in reports:
        yield _report(
            report,
            body=bodies.get(report.place.body_id or 0, {}),
            verdicts=verdicts_of[report.pk],
            toile=toile_of.get(report.pk, {}),
            weighed=weighed_of[report.pk],
            notes=notes_of[report.pk],
        )


def _measures(found: Round) -> tuple[dict[int, dict[str, float | None]], dict[int, dict[str, float | None]]]:
    """{record: its body} and {report: its toile}, measured in cm; one query for both."""
    bodies = BodyValue.objects.filter(record__place__round=found).order_by()
    toiles = ToileMeasure.objects.filter(report__place__round=found, report__submitted_at__isnull=False).order_by()
    columns = ("sort", "pk", "owner", "key", "mm")
    asked = bodies.annotate(sort=Value(0), owner=F("record_id")).values_list(*columns).union(
        toiles.annotate(sort=Value(1), owner=F("report_id")).values_list(*columns), all=True
    )  # fmt: skip
    measured: tuple[dict[int, dict[str, float | None]], ...] = (defaultdict(dict), defaultdict(dict))
    for sort, _pk, owner, key, mm in sorted(asked):
        measured[sort][owner][key] = cm(mm)
    return measured[0], measured[1]


def _report(
    report: FitReport,
    *,
    body: Mapping[str, float | None],
    verdicts: list[Any],
    toile: Mapping[str, float | None],
    weighed: list[Any],
    notes: list[StepNote],
) -> Report:
    carried = report.carried
    aside, back = _overrides(weighed)
    stretch = {} if report.stretch is None else {"stretch": report.stretch}
    return Report(
        tester=report.place.alias,
        size=report.size,
        stage=report.stage,
        submitted=_submitted(report),
        body=carried.get("body_said", {**body, **carried.get("body", {})}),
        test_square=cm(report.test_square_mm),
        zones={verdict.zone: _answer(verdict) for verdict in verdicts},
        steps=tuple(_note(note) for note in notes),
        sizes=dict(report.sizes),
        version=report.version_said or None,
        file=report.file_kind or None,
        fabric={**stretch, **carried.get("fabric", {})},
        toile={**toile, **carried.get("toile", {})},
        set_aside=aside,
        put_back=back,
        extra=carried.get("extra", {}),
        keys=tuple(carried.get("keys", ())),
    )


def _submitted(report: FitReport) -> str | None:
    """The time of sending as a file said it, or as the app saw it; a file may have said none."""
    if report.submitted_said or "keys" in report.carried:
        return report.submitted_said or None
    return report.submitted_at.strftime("%Y-%m-%dT%H:%M:%SZ") if report.submitted_at else None


def _answer(verdict: Any) -> ZoneAnswer:
    # Nearly every answer carries nothing more: of thousands, only the others are worth reading.
    more = {} if verdict.more == "{}" else json.loads(verdict.more)
    return ZoneAnswer(
        fit=verdict.fit,
        altered=verdict.altered,
        change=cm(verdict.change_mm),
        extra=more.get("extra", {}),
        keys=tuple(more.get("keys", ())),
    )


def _note(note: StepNote) -> Any:
    if note.carried is not None:
        return note.carried["note"]
    return {"step": note.step, "kind": note.kind, "text": note.text}


def _overrides(weighed: list[Any]) -> tuple[tuple[Override, ...], tuple[Override, ...]]:
    """What people set aside and put back. The newest word on a zone holds: after a new setting aside,
    what was put back before is history."""
    newest = {row.zone: row.what for row in weighed}
    aside = tuple(_override(row) for row in weighed if row.what == Weighing.ASIDE)
    back = tuple(_override(row) for row in weighed if row.what == Weighing.BACK and newest[row.zone] == Weighing.BACK)
    return aside, back


def _override(row: Any) -> Override:
    return Override(row.zone, row.reason, row.carried.get("extra", {}), tuple(row.carried.get("keys", ())))

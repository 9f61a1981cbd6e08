"""The next version as the decisions of a round make it: charts before and after, what is to do, who re-sews what."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from releases.fabric_ahead import ClothAhead, fabric_ahead, growths
from releases.models import Version
from testing_rounds.chart_tables import Charts
from testing_rounds.decided import Decided, changes_of, decided_in
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_filter import Links
from testing_rounds.evidence_words import listed, reading_title, reading_words, spelled, zone_name, zone_title
from testing_rounds.fix_stories import near_chart
from testing_rounds.models import DecisionKind, FitIssue, IssueAbout, StepNote
from testing_rounds.next_chart import CellChange, NextChart, RowBeforeAfter, apply_decisions, before_after, next_number
from testing_rounds.place_advice import advise_place
from testing_rounds.resewing import Change, Sewer, Task, resew
from testing_rounds.zone_correction import measure_of
from testing_rounds.zones import WITH_OPENING, linked


@dataclass(frozen=True)
class LinkedLine:
    """A zone to re-check together with one that changes, and what this round reads there."""

    zone: str
    because: str
    said: str
    url: str


@dataclass(frozen=True)
class OpenLine:
    """A repeated reading that nobody has decided on."""

    title: str
    url: str


@dataclass(frozen=True)
class HandWork:
    """What is to do by hand for one decision."""

    title: str
    work: str


@dataclass(frozen=True)
class NextPage:
    """Everything that the page of the next version shows. `going` goes into it, `carried` is in a version already."""

    headline: str
    number: str
    going: tuple[Decided, ...]
    carried: tuple[Decided, ...]
    left: tuple[Decided, ...]
    open: tuple[OpenLine, ...]
    rows: tuple[RowBeforeAfter, ...]
    nowhere: tuple[str, ...]
    linked: tuple[LinkedLine, ...]
    by_hand: tuple[HandWork, ...]
    cloth: str
    fabric: tuple[ClothAhead, ...]


def next_page(evidence: Evidence) -> NextPage:
    """The page for a round, whether or not a version was drafted from it already."""
    found, version = evidence.found, evidence.found.version
    decided = decided_in(found)
    going = tuple(one for one in decided if one.goes_in)
    charts = Charts.of(version)
    made = next_chart(charts, going)
    return NextPage(
        headline=_headline(going, decided),
        number=next_number(version.number),
        going=going,
        carried=tuple(one for one in decided if one.issue.fixed_in),
        left=tuple(one for one in decided if one.decision.kind == DecisionKind.LEAVE),
        open=tuple(_open(evidence, decided)),
        rows=_rows(evidence, charts, made, going),
        nowhere=tuple(_("%(measure)s in %(size)s") % {"measure": key, "size": size} for key, size in made.nowhere)
        if made
        else (),
        linked=tuple(_linked(evidence, going)),
        by_hand=tuple(HandWork(one.title, by_hand(one)) for one in going),
        cloth=_cloth(made),
        fabric=fabric_before_after(version, made.changes if made else ()),
    )


def next_chart(charts: Charts | None, going: Iterable[Decided]) -> NextChart | None:
    """The finished chart with the accepted numbers in it; None where there is no chart."""
    accepted = [numbers for one in going if (numbers := one.accepted)]
    return apply_decisions(charts.finished, accepted) if charts else None


def _headline(going: Sequence[Decided], decided: Sequence[Decided]) -> str:
    if going:
        said = ngettext(
            "%(n)s decision goes into the next version.", "%(n)s decisions go into the next version.", len(going)
        )
        return said % {"n": spelled(len(going)).capitalize()}
    carried = [one.issue.fixed_in for one in decided if one.issue.fixed_in]
    if carried:
        return _("Version %(number)s carries what was decided.") % {"number": carried[-1].number}
    return _("Nothing is decided that changes the pattern yet.")


def _open(evidence: Evidence, decided: Sequence[Decided]) -> Iterable[OpenLine]:
    settled = {(one.issue.zone, one.issue.direction) for one in decided if one.issue.about == IssueAbout.ZONE}
    for reading in evidence.readings.values():
        if reading.level == "repeated" and (reading.zone, reading.direction) not in settled:
            title = reading_title(reading, evidence.zones[reading.zone], evidence.data.sizes)
            yield OpenLine(title, Links.of(evidence).zone(reading.zone))


def _rows(
    evidence: Evidence, charts: Charts | None, made: NextChart | None, going: Sequence[Decided]
) -> tuple[RowBeforeAfter, ...]:
    """The measurements that change, and those of the zones that go with them, which stay."""
    if charts is None or made is None:
        return ()
    changed = {change.measure for change in made.changes}
    beside = {measure_of(evidence.zones[key], charts.finished) for key in _linked_keys(evidence, going)}
    if any(one.issue.zone in WITH_OPENING for one in going if one.accepted):
        beside.add("opening")
    rows = before_after(charts.finished, made.table, charts.body, changed | beside)
    return tuple(sorted(rows, key=lambda row: not row.changes)) if changed else ()


def _linked_keys(evidence: Evidence, going: Sequence[Decided]) -> dict[str, str]:
    """{zone: the zone that changes} of what is to be re-checked and does not change itself."""
    changing = [one.issue.zone for one in going if one.issue.about == IssueAbout.ZONE and one.accepted]
    found = {other: key for key in changing for other in linked(key) if other in evidence.zones}
    return {other: key for other, key in found.items() if other not in changing}


def _linked(evidence: Evidence, going: Sequence[Decided]) -> Iterable[LinkedLine]:
    links = Links.of(evidence)
    for other, key in _linked_keys(evidence, going).items():
        zone = evidence.zones[other]
        said = reading_words(evidence.readings[other], zone, evidence.data.sizes)
        yield LinkedLine(zone_title(zone), zone_name(evidence.zones[key]), said, links.zone(other))


def by_hand(one: Decided) -> str:
    """What somebody has to do by hand for a decision: words, files and advice change in no chart."""
    places = {"words": one.decision.changes.get("text") or one.decision.words, "numbers": one.numbers}
    if one.decision.kind == DecisionKind.WORDING:
        return _("Write: “%(words)s”") % places
    if one.decision.kind == DecisionKind.PRINT:
        return _("Make the file anew at its true size, and measure its square on paper.")
    if one.decision.kind == DecisionKind.ADVICE:
        return _("Change the size advice or the chart: %(words)s") % places
    if one.accepted:
        return _("Redraw the pieces: %(numbers)s.") % places
    return _("No numbers were accepted: type them in the finished measurements.")


def _cloth(made: NextChart | None) -> str:
    if made is None or not made.changes:
        return ""
    grows = sorted({change.label for change in made.changes if change.after > change.before})
    if not grows:
        return _("Nothing grows: the fabric requirement stays an upper limit.")
    said = ngettext(
        "Lay the fabric again: the %(names)s grows, and a longer or wider piece may need more of it.",
        "Lay the fabric again: the %(names)s grow, and longer or wider pieces may need more of it.",
        len(grows),
    )
    return said % {"names": listed([name.lower() for name in grows])}


def fabric_before_after(version: Version, changes: Iterable[CellChange]) -> tuple[ClothAhead, ...]:
    """What each cloth takes now and about what it takes then, where the version has its cutting list."""
    told = ((change.measure, change.size, change.after - change.before) for change in changes)
    return fabric_ahead(version, growths(told))


@dataclass(frozen=True)
class Again:
    """What is sewn, read or printed again for one decision."""

    decided: Decided
    tasks: tuple[Task, ...]


def resewing(evidence: Evidence) -> list[Again]:
    """The re-test list of a round: each decision that changes something, with its tasks and who can do them."""
    found = evidence.found
    decided = [one for one in decided_in(found) if one.decision.kind != DecisionKind.LEAVE]
    return [Again(one, resew(_change(evidence, one), list(_sewers(evidence, one)))) for one in decided]


def _change(evidence: Evidence, one: Decided) -> Change:
    issue, changed = one.issue, changes_of(one.decision)
    return Change(
        kind=one.decision.kind,  # type: ignore[arg-type]
        touched=tuple(size for size in evidence.data.sizes if size in changed or (not changed and size in issue.sizes)),
        sizes=evidence.data.sizes,
        base=evidence.data.base_size or "",
        step=int(issue.zone) if issue.about == IssueAbout.STEP else None,
        file=issue.zone if issue.about == IssueAbout.FILE else "",
    )


def _sewers(evidence: Evidence, one: Decided) -> Iterable[Sewer]:
    """The testers of the round whose report is in, with what tells for this decision."""
    issue = one.issue
    lost = _noted(issue) if issue.about == IssueAbout.STEP else set()
    zone = evidence.zones.get(issue.zone) if issue.about == IssueAbout.ZONE else None
    said = {answer.report: answer for answer in evidence.answers(issue.zone)} if zone else {}
    for number, row in enumerate(evidence.rows):
        report, answer = evidence.data.reports[number], said.get(number)
        size = report.size_at(issue.zone) if zone else report.size
        yield Sewer(
            name=str(row.place),
            size=size,
            file=row.file_kind or row.place.paper,
            near=zone is None or near_chart(evidence, zone, number, size) is not False,
            complains=bool(answer and answer.counted and answer.fit * issue.direction > 0),
            lost=row.place_id in lost,
            fits_size=_advised(evidence, number) if one.decision.kind == DecisionKind.ADVICE else "",
        )


def _noted(issue: FitIssue) -> set[int]:
    notes = StepNote.objects.filter(
        report__place__round=issue.round_id, report__submitted_at__isnull=False, step=int(issue.zone)
    )
    return set(notes.values_list("report__place", flat=True))


def _advised(evidence: Evidence, number: int) -> str:
    """The size that the advice names now; "" where it names none."""
    place = evidence.rows[number].place
    place.round = evidence.found
    body = place.body.values.values_list("key", "mm") if place.body else ()
    advice = advise_place(place, dict(body))
    return (advice.size or "") if advice else ""

"""One size: what its own reports say of each zone beside what the zone's reading says; and one cell of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.finished_measures import FINISHED_MEASURES
from testing_rounds.claims import change_at, signed
from testing_rounds.counts import LEAST_ANSWERS, Cell
from testing_rounds.decided import changes_of, decided_in
from testing_rounds.drawings import PanelSize, Stroke, ZoneMark, is_fuller
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_drawn import panel_sizes, size_marks, strokes
from testing_rounds.evidence_filter import Links
from testing_rounds.evidence_words import (
    LEVELS,
    cell_words,
    covered,
    listed,
    poles,
    reading_title,
    reading_words,
    spelled,
    zone_name,
    zone_title,
)
from testing_rounds.issues import issue_words
from testing_rounds.models import FitReport, PrintCheck
from testing_rounds.overview_words import mm
from testing_rounds.report_cards import (
    ALWAYS,
    NO_PHOTOS,
    BodyFact,
    Cards,
    ReportPhotos,
    body_facts,
    body_name,
    cards,
    photos_of,
)
from testing_rounds.zone_numbers import SizeNumbers, ZoneNumbers, zone_numbers
from testing_rounds.zone_page import flags_of


@dataclass(frozen=True)
class Step:
    """The size before or after this one."""

    label: str
    url: str


@dataclass(frozen=True)
class SizeZone:
    """One zone in this size: both layers. `reading` is the zone's, `covers` whether it speaks of this size.

    `estimate` is the change that the testers' answers ask for here, `decided` the correction that was decided.
    """

    title: str
    poles: str
    strokes: tuple[Stroke, ...]
    said: str
    level: str
    css: str
    reading: str
    covers: bool
    flags: tuple[str, ...]
    estimate: str
    decided: str
    url: str
    zone_url: str


@dataclass(frozen=True)
class SizeLength:
    """One measurement in this size: body, finished garment, ease, in mm."""

    name: str
    body: Decimal | None
    finished: Decimal | None

    @property
    def ease(self) -> Decimal | None:
        return None if self.body is None or self.finished is None else self.finished - self.body


@dataclass(frozen=True)
class SizeReport:
    """One report in this size, in short. `error` is that of its print in per cent, where its square was read."""

    tester: str
    sewn: str
    square: Decimal | None
    error: float | None
    checks: tuple[PrintCheck, ...]
    facts: tuple[BodyFact, ...]
    said: str
    aside: str
    words: str
    fabric: str
    photos: ReportPhotos
    url: str


@dataclass(frozen=True)
class SizePage:
    """Everything that the page of a size shows."""

    label: str
    base: bool
    headline: str
    voice: tuple[str, ...]
    zones: tuple[SizeZone, ...]
    marks: dict[str, ZoneMark]
    names: dict[str, str]
    fuller: bool
    lengths: tuple[SizeLength, ...]
    reports: tuple[SizeReport, ...]
    before: Step | None
    after: Step | None
    links: Links


def size_page(evidence: Evidence, position: int) -> SizePage:
    """The page of a size by its position. Raises IndexError for a position that the range does not have."""
    size, links = evidence.data.sizes[position], Links.of(evidence)
    panel = panel_sizes(evidence)[position]
    decided = _decided(evidence, size)
    zones = tuple(_zone(evidence, links, key, position, decided.get(key, "")) for key in evidence.zones)
    before, after = neighbours(evidence.data.sizes, position, links.size)
    return SizePage(
        label=size,
        base=size == evidence.data.base_size,
        headline=_headline(evidence, size, panel, zones),
        voice=tuple(_voice(panel)),
        zones=zones,
        marks=size_marks(evidence, size),
        names={key: zone_title(zone) for key, zone in evidence.zones.items()},
        fuller=is_fuller(position, len(evidence.data.sizes)),
        lengths=tuple(_lengths(evidence, position)),
        reports=tuple(_reports(evidence, size)),
        before=before,
        after=after,
        links=links,
    )


def neighbours(sizes: Sequence[str], position: int, url: Callable[[int], str]) -> tuple[Step | None, Step | None]:
    """The sizes before and after, as far as there are any."""
    before = Step(sizes[position - 1], url(position - 1)) if position else None
    after = Step(sizes[position + 1], url(position + 1)) if position + 1 < len(sizes) else None
    return before, after


def _headline(evidence: Evidence, size: str, panel: PanelSize, zones: Sequence[SizeZone]) -> str:
    if not panel.counted and not panel.aside and not any(zone.strokes for zone in zones):
        return _("Nobody has reported in size %(size)s yet.") % {"size": size}
    flagged = [zone_name(evidence.zones[flag.zone]) for flag in evidence.flags if flag.size == size]
    thin = [
        zone_name(evidence.zones[key]) for key in evidence.zones if evidence.counts.cells[key, size].level == "too_few"
    ]
    if flagged:
        zones_said = listed(list(dict.fromkeys(flagged)))
        return _("Size %(size)s is flagged at the %(zones)s.") % {"size": size, "zones": zones_said}
    if thin:
        where = _("every zone") if len(thin) == len(zones) else _("the %(zones)s") % {"zones": listed(thin)}
        return _("Size %(size)s: nothing is flagged, but %(where)s has too few answers.") % {
            "size": size,
            "where": where,
        }
    return _("Size %(size)s: nothing is flagged.") % {"size": size}


def _voice(panel: PanelSize) -> Iterable[str]:
    if panel.counted:
        yield ngettext("%(n)s report counts.", "%(n)s reports count.", panel.counted) % {
            "n": spelled(panel.counted).capitalize()
        }
    if panel.aside:
        yield ngettext("%(n)s is set aside whole.", "%(n)s are set aside whole.", panel.aside) % {
            "n": spelled(panel.aside).capitalize()
        }
    if panel.to_come:
        yield _("Still to come: %(n)s.") % {"n": panel.to_come}
    if panel.counted < LEAST_ANSWERS:
        yield _("Two reports that count are the least that can repeat.")


def _decided(evidence: Evidence, size: str) -> dict[str, str]:
    """{zone: the correction in force in this size, and where it stands}, of all decisions of the round."""
    found = {}
    for one in decided_in(evidence.found):
        change = changes_of(one.decision).get(size)
        if change:
            state = issue_words(
                one.issue.state, one.decision.kind, one.issue.fixed_in.number if one.issue.fixed_in else ""
            )
            found[one.issue.zone] = _("%(change)s. %(state)s") % {"change": signed(change), "state": state}
    return found


def _zone(evidence: Evidence, links: Links, key: str, position: int, decided: str) -> SizeZone:
    zone, reading, sizes = evidence.zones[key], evidence.readings[key], evidence.data.sizes
    cell = evidence.counts.cells[key, sizes[position]]
    return SizeZone(
        title=zone_title(zone),
        poles=poles(zone),
        strokes=strokes(cell),
        said=cell_words(cell, zone),
        level=str(LEVELS[cell.level]),
        css=cell_css(cell),
        reading=reading_words(reading, zone, sizes),
        covers=reading.level == "repeated" and cell.size in covered(reading, sizes),
        flags=flags_of(evidence, key, cell.size),
        estimate=change_at(reading, cell.size, sizes),
        decided=decided,
        url=links.cell(key, position),
        zone_url=links.zone(key),
    )


def cell_css(cell: Cell) -> str:
    """The colour of a repeated complaint's words."""
    return {-1: "sm", 1: "lg"}.get(cell.direction, "") if cell.level == "repeated" else ""


def _lengths(evidence: Evidence, position: int) -> Iterable[SizeLength]:
    """The charts in this size: each body measurement with the finished one that is compared with it."""
    body, finished = evidence.data.body_chart, evidence.data.finished_chart
    against = {FINISHED_MEASURES[key].body: key for key in finished if key in FINISHED_MEASURES}
    for key in body:
        yield SizeLength(
            body_name(key), _at(body[key], position), _at(finished.get(against.get(key, ""), ()), position)
        )
    for key in finished:
        if key not in FINISHED_MEASURES or FINISHED_MEASURES[key].body not in body:
            name = _(FINISHED_MEASURES[key].name) if key in FINISHED_MEASURES else body_name(key)
            yield SizeLength(name, None, _at(finished[key], position))


def _at(row: Sequence[float | None], position: int) -> Decimal | None:
    value = row[position] if position < len(row) else None
    return None if value is None else mm(value)


def _reports(evidence: Evidence, size: str) -> Iterable[SizeReport]:
    """The reports with an answer in this size, those sewn in it whole first."""
    numbers = [
        number
        for number, report in enumerate(evidence.data.reports)
        if size == report.size or any(report.size_at(zone) == size for zone in report.zones)
    ]
    numbers.sort(key=lambda number: evidence.data.reports[number].size != size)
    rows = [evidence.rows[number] for number in numbers]
    photos, checks = photos_of(evidence.found, rows), _checks(rows)
    for number, row in zip(numbers, rows, strict=True):
        yield _report(evidence, number, size, photos.get(row.pk, NO_PHOTOS), checks.get(row.place_id, ()))


def _checks(rows: Iterable[FitReport]) -> dict[int, tuple[PrintCheck, ...]]:
    found: dict[int, tuple[PrintCheck, ...]] = {}
    for check in PrintCheck.objects.filter(place__in=[row.place_id for row in rows]):
        found[check.place_id] = (*found.get(check.place_id, ()), check)
    return found


def _report(
    evidence: Evidence, number: int, size: str, photos: ReportPhotos, checks: tuple[PrintCheck, ...]
) -> SizeReport:
    row, report = evidence.rows[number], evidence.data.reports[number]
    answers = [answer for key in evidence.zones for answer in evidence.answers(key) if answer.report == number]
    complaints = [zone_name(evidence.zones[answer.zone]) for answer in answers if answer.fit and answer.counted]
    aside = [zone_name(evidence.zones[answer.zone]) for answer in answers if not answer.counted]
    square = evidence.data.test_square
    return SizeReport(
        tester=str(row.place),
        sewn=sewn_words(report.size, report.sizes, evidence) if report.sizes else "",
        square=row.test_square_mm,
        error=100 * (report.test_square / square - 1) if report.test_square and square else None,
        checks=checks,
        facts=body_facts(evidence, report, size, ALWAYS),
        said=_("Does not fit at the %(zones)s.") % {"zones": listed(complaints)}
        if complaints
        else _("No complaint that counts."),
        aside=_aside(aside, len(answers)),
        words=row.words,
        fabric=row.fabric_used,
        photos=photos.first((), 3),
        url=Links.of(evidence).report(row),
    )


def _aside(zones: Sequence[str], answers: int) -> str:
    if not zones:
        return ""
    if len(zones) == answers > 1:
        return _("Set aside whole.")
    return _("Set aside: %(zones)s.") % {"zones": listed(zones)}


def sewn_words(size: str, sizes: dict[str, str], evidence: Evidence) -> str:
    """A blend in words: "18, with the waist in 20"."""
    parts = [
        _("the %(zone)s in %(size)s") % {"zone": zone_name(evidence.zones[key]), "size": other}
        for key, other in sizes.items()
        if key in evidence.zones
    ]
    return _("%(size)s, with %(parts)s") % {"size": size, "parts": listed(parts)} if parts else size


@dataclass(frozen=True)
class CellPage:
    """All reports of one size and zone."""

    label: str
    key: str
    zone: str
    headline: str
    level: str
    css: str
    flags: tuple[str, ...]
    reading: str
    covers: bool
    numbers: ZoneNumbers
    here: SizeNumbers
    needs: int
    cards: Cards
    before: Step | None
    after: Step | None
    zone_url: str
    size_url: str
    links: Links


def cell_page(evidence: Evidence, key: str, position: int) -> CellPage:
    """One cell. Raises KeyError or IndexError for a zone or size that the round does not have."""
    zone, size, links = evidence.zones[key], evidence.data.sizes[position], Links.of(evidence)
    cell, reading = evidence.counts.cells[key, size], evidence.readings[key]
    numbers = zone_numbers(evidence, zone)
    before, after = neighbours(evidence.data.sizes, position, lambda at: links.cell(key, at))
    places = {"said": cell_words(cell, zone), "zone": zone_name(zone), "size": size}
    return CellPage(
        label=size,
        key=key,
        zone=zone_title(zone),
        headline=_("%(said)s at the %(zone)s in size %(size)s.") % {**places, "said": _capital(places["said"])},
        level=str(LEVELS[cell.level]),
        css=cell_css(cell),
        flags=flags_of(evidence, key, size),
        reading=reading_title(reading, zone, evidence.data.sizes),
        covers=reading.level == "repeated" and size in covered(reading, evidence.data.sizes),
        numbers=numbers,
        here=numbers.sizes[size],
        needs=max(0, LEAST_ANSWERS - cell.counted),
        cards=cards(evidence, (*cell.counted_answers, *cell.aside), cell.direction),
        before=before,
        after=after,
        zone_url=links.zone(key),
        size_url=links.size(position),
        links=links,
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

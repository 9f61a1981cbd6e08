"""The lists of the overview: what is set aside, who is late, which sizes need more reports."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Exists, OuterRef, Prefetch, prefetch_related_objects
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.translated import in_words
from testing_rounds.counts import LEAST_ANSWERS
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_filter import Shown, answer_anchor
from testing_rounds.evidence_words import covered, listed, size_span, spelled, zone_name
from testing_rounds.models import FitReport, Place, PlaceState, PrintCheck, Round
from testing_rounds.overview_words import day_words
from testing_rounds.set_aside import Answer


@dataclass(frozen=True)
class AsideLine:
    """One report and one reason: which of its answers do not count (or count again: `back`), and where to see to it."""

    tester: str
    what: str
    why: str
    url: str
    back: bool = False


def aside_lines(evidence: Evidence, shown: Shown) -> list[AsideLine]:
    """Everything that is set aside, then everything that was put back, report by report."""
    by_report: dict[int, list[Answer]] = defaultdict(list)
    for key in shown.zones:
        for answer in evidence.answers(key):
            if shown.has(answer):
                by_report[answer.report].append(answer)
    pairs = [(evidence.rows[number], by_report[number]) for number in sorted(by_report)]
    aside = [line for row, answers in pairs for line in _aside_of(evidence, row, answers)]
    return aside + [line for row, answers in pairs for line in _back_of(evidence, row, answers)]


def _aside_of(evidence: Evidence, row: FitReport, answers: Sequence[Answer]) -> Iterator[AsideLine]:
    groups: dict[str, list[Answer]] = defaultdict(list)
    for answer in answers:
        if not answer.counted:
            for reason in answer.reasons:
                groups[in_words(reason.sentence)].append(answer)
    for why, group in groups.items():
        yield AsideLine(str(row.place), _what(evidence, row, group, answers), why, _url(evidence, row, group))


def _back_of(evidence: Evidence, row: FitReport, answers: Sequence[Answer]) -> Iterator[AsideLine]:
    groups: dict[str, list[Answer]] = defaultdict(list)
    for answer in answers:
        if answer.reasons and answer.put_back is not None:
            groups[answer.put_back].append(answer)
    for why, group in groups.items():
        yield AsideLine(
            str(row.place), _what(evidence, row, group, answers), why, _url(evidence, row, group), back=True
        )


def _what(evidence: Evidence, row: FitReport, group: Sequence[Answer], answers: Sequence[Answer]) -> str:
    """ "size 8, the whole report", "size 14, back length"."""
    if len(group) == len(answers) > 1:
        return _("size %(size)s, the whole report") % {"size": row.size}
    zones = listed([zone_name(evidence.zones[answer.zone]) for answer in group])
    sizes = listed(list(dict.fromkeys(answer.size for answer in group)))
    return _("size %(size)s, %(zones)s") % {"size": sizes, "zones": zones}


def _url(evidence: Evidence, row: FitReport, group: Sequence[Answer]) -> str:
    return reverse("report", args=[row.ref]) + f"#{answer_anchor(evidence, group[0].zone)}"


@dataclass(frozen=True)
class PersonLine:
    """A tester whose report has not come: how it stands, and whether it is late."""

    name: str
    size: str
    standing: str
    late: bool
    url: str


def with_print_checks(found: Round) -> Round:
    """The round with its places, each knowing (`print_checked`) whether its test square was read; one query."""
    checked = Exists(PrintCheck.objects.filter(place=OuterRef("pk")))
    places = Place.objects.annotate(print_checked=checked)
    prefetch_related_objects([found], Prefetch("places", queryset=places))
    return found


def people_lines(evidence: Evidence, shown: Shown, today: date) -> list[PersonLine]:
    """Who is late, the longest silent first, then who is still to come."""
    drafts = {draft.place_id: draft for draft in evidence.drafts_of_stage}
    late = {place.pk for place in evidence.late(today)}
    reserves = {place.size or place.wanted_size for place in evidence.places if place.state == PlaceState.RESERVE}
    waiting = [place for place in evidence.waiting() if not shown.size or place.size == shown.size]
    waiting.sort(key=lambda place: (place.pk not in late, place.pk))
    return [
        PersonLine(
            str(place),
            place.size,
            " ".join(_standing(evidence.found, place, drafts.get(place.pk), reserves, today)),
            place.pk in late,
            reverse("place", args=[place.ref]),
        )
        for place in waiting
    ]


def _standing(found: Round, place: Place, draft: FitReport | None, reserves: set[str], today: date) -> Iterator[str]:
    if found.report_due:
        yield _due(found.report_due, today)
    if draft:
        saved = date_format(localtime(draft.saved), "j F, H:i")
        yield _("A draft is there, last saved %(when)s.") % {"when": saved}
    elif place.state == PlaceState.INVITED:
        yield _("Invited; the link was not opened yet.")
    else:
        yield _("Nothing is written yet.")
    if place.state != PlaceState.INVITED:
        yield _("Print check done.") if getattr(place, "print_checked", False) else _("No print check yet.")
    if place.size in reserves:
        yield _("A reserve for size %(size)s is free.") % {"size": place.size}


def _due(due: date, today: date) -> str:
    days = (today - due).days
    if days <= 0:
        return _("Due %(day)s.") % {"day": day_words(due)}
    said = ngettext("Due %(day)s, %(n)s day late.", "Due %(day)s, %(n)s days late.", days)
    return said % {"day": day_words(due), "n": spelled(days)}


@dataclass(frozen=True)
class NeedLine:
    """Sizes that need as many more reports for the same zones."""

    sizes: tuple[str, ...]
    need: str
    why: str


@dataclass
class _Need:
    more: int
    zones: tuple[str, ...]
    to_come: int
    sizes: list[str] = field(default_factory=list)


def need_lines(evidence: Evidence, shown: Shown) -> list[NeedLine]:
    """What would make the next claim safe: in which sizes how many more reports must count, and where."""
    to_come: dict[str, int] = defaultdict(int)
    for place in evidence.waiting():
        to_come[place.size] += 1
    needs: dict[tuple[int, tuple[str, ...], int], _Need] = {}
    for one in evidence.counts.coverage:
        thin = tuple(key for key in one.thin_zones if key in shown.zones)
        if thin and shown.has_size(one.size):
            more = max(LEAST_ANSWERS - evidence.counts.cells[key, one.size].counted for key in thin)
            need = needs.setdefault((more, thin, to_come[one.size]), _Need(more, thin, to_come[one.size]))
            need.sizes.append(one.size)
    return [_need_line(evidence, shown, need) for need in needs.values()]


def _need_line(evidence: Evidence, shown: Shown, need: _Need) -> NeedLine:
    if len(need.sizes) == 1:
        said = ngettext(
            "Size %(sizes)s needs %(more)s more report %(where)s.",
            "Size %(sizes)s needs %(more)s more reports %(where)s.",
            need.more,
        )
    elif len(need.sizes) == len(evidence.data.sizes):
        said = ngettext(
            "Every size needs %(more)s more report %(where)s.",
            "Every size needs %(more)s more reports %(where)s.",
            need.more,
        )
    else:
        said = ngettext(
            "Sizes %(sizes)s need %(more)s more report each %(where)s.",
            "Sizes %(sizes)s need %(more)s more reports each %(where)s.",
            need.more,
        )
    sizes = size_span(need.sizes, evidence.data.sizes)
    places = {"sizes": sizes, "more": spelled(need.more), "where": _where(evidence, shown, need.zones)}
    return NeedLine(tuple(need.sizes), said % places, " ".join(_because(evidence, need)))


def _where(evidence: Evidence, shown: Shown, zones: Sequence[str]) -> str:
    if len(zones) == len(shown.zones) > 1:
        return _("in every zone")
    if 2 * len(zones) > len(shown.zones) > 4:
        others = [zone_name(evidence.zones[key]) for key in shown.zones if key not in zones]
        return _("in every zone but %(zones)s") % {"zones": listed(others)}
    return _("at the %(zones)s") % {"zones": listed([zone_name(evidence.zones[key]) for key in zones])}


def _because(evidence: Evidence, need: _Need) -> Iterable[str]:
    if not need.to_come:
        yield _("Nobody is sewing there now.")
    elif len(need.sizes) > 1:
        yield _("Still to come in each: %(n)s.") % {"n": need.to_come}
    else:
        yield _("Still to come: %(n)s.") % {"n": need.to_come}
    reached = [key for key in need.zones if _reached(evidence, key, need.sizes)]
    if reached:
        zones = listed([zone_name(evidence.zones[key]) for key in reached])
        said = ngettext(
            "The reading of the %(zones)s covers it only by its neighbours.",
            "The reading of the %(zones)s covers them only by their neighbours.",
            len(need.sizes),
        )
        yield said % {"zones": zones}


def _reached(evidence: Evidence, key: str, sizes: Sequence[str]) -> bool:
    reading = evidence.readings[key]
    return reading.level == "repeated" and set(sizes) <= set(covered(reading, evidence.data.sizes))

"""The lists of the overview: what is set aside, who is late, which sizes need more reports."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby

from django.db.models import Exists, OuterRef, Prefetch, Subquery, prefetch_related_objects
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.translated import in_words
from testing_rounds.counts import LEAST_ANSWERS
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_filter import Links, Shown, answer_anchor
from testing_rounds.evidence_words import covered, listed, size_span, spelled, zone_name
from testing_rounds.models import FitReport, Place, PlaceState, PrintCheck, Round
from testing_rounds.overview_words import STYLE, day_words
from testing_rounds.set_aside import Answer


@dataclass(frozen=True)
class AsideLine:
    """One report and one reason: which of its answers do not count, or (`back`) count again, and where to see to it.

    `what` is "size 8, the whole report" or "size 14, back length"; `answers` the same without the size.
    """

    tester: str
    size: str
    what: str
    answers: str
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
    told = [number for number in sorted(by_report) if any(answer.reasons for answer in by_report[number])]
    pairs = [(evidence.rows[number], by_report[number]) for number in told]
    aside = [line for row, answers in pairs for line in _lines_of(evidence, row, answers, back=False)]
    return aside + [line for row, answers in pairs for line in _lines_of(evidence, row, answers, back=True)]


def _lines_of(evidence: Evidence, row: FitReport, answers: Sequence[Answer], *, back: bool) -> Iterator[AsideLine]:
    """The reasons of one report, that of the most answers first."""
    groups: dict[str, list[Answer]] = defaultdict(list)
    for answer in answers:
        for why in _whys(evidence, answer, back=back):
            groups[why].append(answer)
    for why, group in sorted(groups.items(), key=lambda item: -len(item[1])):
        whole = len(group) == len(answers) > 1
        size, said = _what(evidence, row, group, whole=whole)
        anchor = "" if whole else answer_anchor(evidence, group[0].zone)
        url = Links.of(evidence).report(row, anchor)
        what = _("size %(size)s, %(answers)s") % {"size": size, "answers": said}
        yield AsideLine(str(row.place), size, what, capfirst(said), why, url, back)


def _whys(evidence: Evidence, answer: Answer, *, back: bool) -> Iterator[str]:
    """Why an answer does not count; or, for one that a person put back, why it does."""
    if back and answer.reasons and answer.put_back is not None:
        yield answer.put_back
    if not back and not answer.counted:
        yield from (in_words(reason, STYLE) for reason in evidence.reasons(answer))


def _what(evidence: Evidence, row: FitReport, group: Sequence[Answer], *, whole: bool) -> tuple[str, str]:
    """The size, and the zones in words."""
    if whole:
        return row.size, _("the whole report")
    sizes = listed(list(dict.fromkeys(answer.size for answer in group)))
    return sizes, listed([zone_name(evidence.zones[answer.zone]) for answer in group])


@dataclass(frozen=True)
class AsideGroup:
    """The lines of one report together."""

    tester: str
    size: str
    lines: tuple[AsideLine, ...]

    @property
    def url(self) -> str:
        return self.lines[0].url


def grouped(lines: Iterable[AsideLine]) -> tuple[AsideGroup, ...]:
    """Lines of the same report and size, which stand one after another, as one."""
    groups = groupby(lines, key=lambda line: (line.tester, line.size))
    return tuple(AsideGroup(tester, size, tuple(some)) for (tester, size), some in groups)


@dataclass(frozen=True)
class PersonLine:
    """A tester whose report has not come: how it stands, and whether it is late."""

    name: str
    size: str
    standing: str
    late: bool
    url: str


def with_people(found: Round) -> Round:
    """The round with its places, each knowing whether its test square was read (`print_checked`) and when its draft
    was saved last (`draft_saved`); one query."""
    checked = Exists(PrintCheck.objects.filter(place=OuterRef("pk")))
    drafts = FitReport.objects.filter(place=OuterRef("pk"), submitted_at=None).order_by("-saved")
    places = Place.objects.annotate(print_checked=checked, draft_saved=Subquery(drafts.values("saved")[:1]))
    prefetch_related_objects([found], Prefetch("places", queryset=places))
    return found


def people_stamp(found: Round) -> Hashable:
    """What the overview shows of people, of a round with_people: no revision counts a name or a draft."""
    return tuple(
        (one.pk, one.name, one.state, one.size, one.wanted_size, one.print_checked, one.draft_saved)  # type: ignore[attr-defined]
        for one in found.places.all()
    )


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
            " ".join(_standing(evidence.due_of(place), place, drafts.get(place.pk), reserves, today)),
            place.pk in late,
            reverse("place", args=[place.ref]),
        )
        for place in waiting
    ]


def _standing(
    due: date | None, place: Place, draft: FitReport | None, reserves: set[str], today: date
) -> Iterator[str]:
    if due:
        yield _due(due, today)
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

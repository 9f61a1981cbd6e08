"""Reports as a page of evidence shows them: who, which size, what they said, how the body compares, the photos."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.conf import settings
from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from measurements.body_measures import BODY_MEASURES
from measurements.translated import in_words
from people.models import ConsentKind
from testing_rounds.consents import standing
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_filter import Links, answer_anchor
from testing_rounds.evidence_words import verdict_words, zone_title
from testing_rounds.models import FitReport, Photo, PhotoState, Round, ZoneVerdict
from testing_rounds.overview_words import STYLE, mm
from testing_rounds.photo_links import photo_address
from testing_rounds.round_data import Report
from testing_rounds.set_aside import Answer
from testing_rounds.tester_photos import views_of
from testing_rounds.zones import CATALOGUE

ALWAYS = ("bust", "waist", "hip")


@dataclass(frozen=True)
class PhotoShown:
    """A photo with its view in words, and the addresses of its two sizes."""

    view: str
    name: str
    small: str
    large: str


@dataclass(frozen=True)
class ReportPhotos:
    """The photos of one report; `private` where its tester does not allow them to be seen."""

    shown: tuple[PhotoShown, ...] = ()
    private: bool = False

    def first(self, views: Sequence[str], most: int = 2) -> ReportPhotos:
        """The few that tell most of a zone: the views named, in that order, then the others."""
        order = {view: i for i, view in enumerate(views)}
        ranked = sorted(self.shown, key=lambda photo: order.get(photo.view, len(order)))
        return ReportPhotos(tuple(ranked[:most]), self.private)


NO_PHOTOS = ReportPhotos()


def photos_of(found: Round, rows: Iterable[FitReport]) -> dict[int, ReportPhotos]:
    """{report pk: its photos} as far as each tester allows now, in two queries."""
    by_pk = {row.pk: row for row in rows}
    allowed = standing(row.place for row in by_pk.values())
    names = dict(views_of(found))
    taken: dict[int, list[PhotoShown]] = defaultdict(list)
    for photo in Photo.objects.filter(report__in=by_pk, state=PhotoState.READY):
        taken[photo.report_id].append(_photo(photo, names))
    return {
        pk: ReportPhotos(tuple(taken[pk]))
        if ConsentKind.PHOTOS in allowed[row.place.ref]
        else ReportPhotos(private=bool(taken[pk]))
        for pk, row in by_pk.items()
    }


def _photo(photo: Photo, names: dict[str, str]) -> PhotoShown:
    small, large = photo_address(photo.ref, settings.PHOTO_SMALL_PX), reverse("photo_open", args=[photo.ref])
    return PhotoShown(photo.view, names.get(photo.view, _("Another view")), small, large)


@dataclass(frozen=True)
class BodyFact:
    """One measurement of the body that wore the toile beside the chart's, in mm; either may be unknown."""

    name: str
    own: Decimal | None
    chart: Decimal | None

    @property
    def difference(self) -> Decimal | None:
        return None if self.own is None or self.chart is None else self.own - self.chart


@dataclass(frozen=True)
class Card:
    """One answer with the report that it stands in."""

    tester: str
    size: str
    said: str
    css: str
    change: Decimal | None
    counted: bool
    reasons: tuple[str, ...]
    put_back: str
    note: str
    words: str
    facts: tuple[BodyFact, ...]
    photos: ReportPhotos
    report_ref: str
    zone: str
    url: str
    answer_url: str


@dataclass(frozen=True)
class Cards:
    """The cards of some answers: those that count, the strongest first, then those that do not."""

    counted: tuple[Card, ...]
    aside: tuple[Card, ...]


def cards(evidence: Evidence, answers: Sequence[Answer], direction: int = 0) -> Cards:
    """A card for each answer, in three queries; complaints in the direction come first."""
    rows = [evidence.row(answer) for answer in answers]
    photos = photos_of(evidence.found, rows)
    notes = _notes(rows, {answer.zone for answer in answers})
    order = sorted(
        answers, key=lambda one: (one.fit * direction < 0, -abs(one.fit), evidence.data.sizes.index(one.size))
    )
    made = [_card(evidence, answer, photos, notes) for answer in order]
    return Cards(tuple(card for card in made if card.counted), tuple(card for card in made if not card.counted))


def _notes(rows: Iterable[FitReport], zones: set[str]) -> dict[tuple[int, str], str]:
    """What testers wrote about the zone itself."""
    written = ZoneVerdict.objects.filter(report__in=[row.pk for row in rows], zone__in=zones).exclude(words="")
    return {(pk, zone): words for pk, zone, words in written.values_list("report_id", "zone", "words")}


def _card(
    evidence: Evidence, answer: Answer, photos: dict[int, ReportPhotos], notes: dict[tuple[int, str], str]
) -> Card:
    row, zone = evidence.row(answer), evidence.zones[answer.zone]
    points = tuple(dict.fromkeys([*ALWAYS, *([zone.body_point] if zone.body_point else [])]))
    return Card(
        tester=str(row.place),
        size=answer.size,
        said=_("%(zone)s: %(said)s") % {"zone": zone_title(zone), "said": verdict_words(zone, answer.fit)},
        css=("sm" if answer.fit < 0 else "lg" if answer.fit else "soft") if answer.counted else "",
        change=mm(answer.change) if answer.change else None,
        counted=answer.counted,
        reasons=tuple(in_words(reason, STYLE) for reason in evidence.reasons(answer)),
        put_back=answer.put_back or "",
        note=notes.get((row.pk, answer.zone), ""),
        words=row.words,
        facts=body_facts(evidence, evidence.data.reports[answer.report], answer.size, points),
        photos=photos.get(row.pk, NO_PHOTOS).first(best_views(answer.zone)),
        report_ref=row.ref,
        zone=answer.zone,
        url=reverse("report", args=[row.ref]),
        answer_url=Links.of(evidence).report(row, answer_anchor(evidence, answer.zone)),
    )


def best_views(zone: str) -> tuple[str, ...]:
    """The views in which a zone is seen best."""
    back = zone in CATALOGUE and CATALOGUE[zone].side == "back"
    return ("back", "arms_forward", "close_up") if back else ("front", "side", "close_up")


def body_facts(evidence: Evidence, report: Report, size: str, points: Iterable[str]) -> tuple[BodyFact, ...]:
    """The body of a report beside the chart at a size, for the points that either knows."""
    at = evidence.data.sizes.index(size) if size in evidence.data.sizes else None
    facts = []
    for point in points:
        own = report.body.get(point) if evidence.shows_bodies else None
        row = evidence.data.body_chart.get(point)
        chart = row[at] if row and at is not None else None
        if own is not None or chart is not None:
            facts.append(BodyFact(body_name(point), _mm(own), _mm(chart)))
    return tuple(facts)


def body_name(point: str) -> str:
    """A body measurement by its name; one of a studio's own by its key."""
    return _(BODY_MEASURES[point].name) if point in BODY_MEASURES else capfirst(point.replace("_", " "))


def _mm(cm: float | None) -> Decimal | None:
    return None if cm is None else mm(cm)

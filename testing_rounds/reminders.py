"""Who is reminded when: some days before the report is due, on the day, after it; then silence.

Days are the tester's own, as `testing_rounds.due` tells them, and so are the hours in which a reminder may leave.
A worker that was down sends what it missed for a short while; of two that are due only the later one leaves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from copy import copy
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.conf import settings
from django.db.models import Q, QuerySet

from testing_rounds.due import due_day, today_of, zone_of
from testing_rounds.models import FitReport, MailKind, MailSent, Place, PlaceState, RoundState, Stage

REMINDERS = (MailKind.BEFORE, MailKind.ON_THE_DAY, MailKind.AFTER)
IN_WORK = (RoundState.CALL_OPEN, RoundState.SEWING)


@dataclass(frozen=True)
class Reminder:
    """One reminder to one tester about one garment, whose report is due on `due`; it leaves on `day`."""

    place: Place
    kind: MailKind
    stage: str
    due: date
    day: date

    @property
    def about(self) -> str:
        return f"{self.stage} {self.due.isoformat()}"

    @property
    def at(self) -> datetime:
        """The first moment at which it may leave, in the tester's own time."""
        return datetime.combine(self.day, time(settings.REMIND_FROM_HOUR), zone_of(self.place))


def calendar(place: Place, stage: str = Stage.TOILE) -> list[Reminder]:
    """The three reminders about a garment; none where the round names no day for it."""
    seen = copy(place)
    seen.stage = stage
    day = due_day(seen)
    if day is None:
        return []
    offsets = (-settings.REMIND_DAYS_BEFORE, 0, settings.REMIND_DAYS_AFTER)
    return [
        Reminder(seen, kind, stage, day, day + timedelta(days=offset))
        for kind, offset in zip(REMINDERS, offsets, strict=True)
    ]


def may_be_reminded() -> QuerySet[Place]:
    """Testers who sew and have not said that they want no reminders."""
    return Place.objects.filter(
        Q(round__report_due__isnull=False) | Q(round__finished_due__isnull=False),
        state__in=[PlaceState.ACCEPTED, PlaceState.FINISHED],
        round__state__in=IN_WORK,
        reminders_off=None,
    ).exclude(email="")


def reminders(places: Iterable[Place]) -> Iterator[Reminder]:
    """All reminders of reports that these testers have not sent. A garment's report is asked for after the toile's."""
    for place in places:
        sent = {report.stage for report in place.reports.all() if report.submitted_at}
        if Stage.TOILE not in sent and place.state == PlaceState.ACCEPTED:
            yield from calendar(place)
        elif Stage.TOILE in sent and Stage.FINISHED not in sent:
            yield from calendar(place, Stage.FINISHED)


def due_now(now: datetime) -> list[Reminder]:
    """What should leave at this moment and has not left, one a tester at most."""
    span = timedelta(days=settings.REMIND_DAYS_BEFORE + settings.REMIND_DAYS_LATE + settings.MORE_DAYS_AT_MOST + 2)
    around = (now.date() - span, now.date() + span)
    around_now = (
        may_be_reminded()
        .filter(Q(round__report_due__range=around) | Q(round__finished_due__range=around))
        .select_related("round__version__pattern__studio")
        .prefetch_related("reports")
    )
    places = [place for place in around_now if _awake(place, now)]
    gone = sent_already(places)
    latest: dict[int, Reminder] = {}
    for one in reminders(places):
        late = (today_of(one.place, now) - one.day).days
        if 0 <= late <= settings.REMIND_DAYS_LATE:
            latest[one.place.pk] = one
    return [one for one in latest.values() if (one.place.pk, one.kind, _told(one)) not in gone]


def sent_already(places: Iterable[Place]) -> set[tuple[int, str, str]]:
    """{(place, kind, what it was about)}. Whoever was given more days is not told again that the day draws near."""
    rows = MailSent.objects.filter(place__in=list(places), kind__in=REMINDERS)
    return {(row.place_id, row.kind, _about(row.kind, row.about)) for row in rows}


def _told(one: Reminder) -> str:
    return _about(one.kind, one.about)


def _about(kind: str, about: str) -> str:
    return about.partition(" ")[0] if kind == MailKind.BEFORE else about


def _awake(place: Place, now: datetime) -> bool:
    hour = now.astimezone(zone_of(place)).hour
    return settings.REMIND_FROM_HOUR <= hour < settings.REMIND_TO_HOUR


def still_open(one: Reminder) -> bool:
    """Asked again just before it leaves: the report may have come in, or the tester have stopped."""
    sent = FitReport.objects.filter(place=one.place, stage=one.stage, submitted_at__isnull=False)
    return may_be_reminded().filter(pk=one.place.pk).exists() and not sent.exists()

"""Every mail of a round, as a designer sees it before it leaves: who would get it, when, and its very words."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from people.mail import site_address, written
from people.models import Person
from testing_rounds.actions.mails import TEMPLATES, context_of, editors, message_mail, reminder_mail
from testing_rounds.consents import day_they_go
from testing_rounds.due import zone_of
from testing_rounds.models import MailKind, MailSent, Place, PlaceState, Round
from testing_rounds.reminders import IN_WORK, REMINDERS, Reminder, calendar, may_be_reminded, reminders

# Stands in a mail that is only looked at, where the tester's own secret would be.
NO_SECRET = "the-testers-own-link"  # noqa: S105
APPLICATION, INVITATION, NEW_LINK, TO_STUDIO = "application", "invitation", "new-link", "message-to-studio"


@dataclass(frozen=True)
class Mail:
    """One kind of mail. `to_testers`: or to the designers of the studio."""

    key: str
    title: str | Promise
    when: str | Promise
    to_testers: bool = True


MAILS: tuple[Mail, ...] = (
    Mail(APPLICATION, gettext_lazy("Your application"), gettext_lazy("at once, to everybody who applies")),
    Mail(INVITATION, gettext_lazy("The invitation"), gettext_lazy("when you invite somebody, or move them up")),
    Mail(MailKind.RESERVE, gettext_lazy("Kept in reserve"), gettext_lazy("when you tell those in reserve")),
    Mail(MailKind.DECLINED, gettext_lazy("No place this time"), gettext_lazy("when you decline somebody")),
    Mail(NEW_LINK, gettext_lazy("A new link"), gettext_lazy("when you send one")),
    Mail(MailKind.BEFORE, gettext_lazy("The day draws near"), gettext_lazy("three days before the report is due")),
    Mail(MailKind.ON_THE_DAY, gettext_lazy("The day"), gettext_lazy("on the day on which the report is due")),
    Mail(MailKind.AFTER, gettext_lazy("More days, or stop"), gettext_lazy("two days after it; then nothing more")),
    Mail(MailKind.MESSAGE, gettext_lazy("You have written"), gettext_lazy("when you write to a tester")),
    Mail(TO_STUDIO, gettext_lazy("A tester has written"), gettext_lazy("when a tester writes to you"), False),
    Mail(MailKind.REPORT, gettext_lazy("A report has come in"), gettext_lazy("when a tester sends it"), False),
    Mail(MailKind.STOPPED, gettext_lazy("A place is free"), gettext_lazy("when a tester stops"), False),
)
# These answer something that nobody can foresee.
AS_IT_COMES = frozenset({APPLICATION, NEW_LINK, MailKind.MESSAGE})
BY_KEY = {mail.key: mail for mail in MAILS}


# who would get it


@dataclass(frozen=True)
class Leaving:
    """One reminder of one tester: when it leaves in their own time, and what became of it."""

    one: Reminder
    at: datetime
    said: str


@dataclass(frozen=True)
class ToTester:
    """A tester with the reminders of the report that is next, if any; `said`: why those do not leave."""

    place: Place
    zone: str
    leaving: list[Leaving]
    said: str


def mail_list(found: Round) -> list[tuple[Mail, str]]:
    """Every kind of mail with who would get it now."""
    places = list(found.places.all())
    return [(mail, _who(mail, found, places)) for mail in MAILS]


def _who(mail: Mail, found: Round, places: Collection[Place]) -> str:
    if mail.key in AS_IT_COMES:
        return _("whoever it is then")
    if not mail.to_testers:
        return ", ".join(person.name or person.email for person in _editors(found))
    return ", ".join(str(place) for place in places if place.email and WOULD_GET[mail.key](place))


def _editors(found: Round) -> list[Person]:
    return editors(Place(round=found))


def _sews(place: Place) -> bool:
    return place.state == PlaceState.ACCEPTED and place.reminders_off is None and place.round.state in IN_WORK


WOULD_GET: dict[str, Callable[[Place], bool]] = {
    INVITATION: lambda place: place.state == PlaceState.APPLIED and bool(place.size),
    MailKind.RESERVE: lambda place: place.state == PlaceState.RESERVE,
    MailKind.DECLINED: lambda place: place.state == PlaceState.APPLIED and not place.size,
    MailKind.BEFORE: _sews,
    MailKind.ON_THE_DAY: _sews,
    MailKind.AFTER: _sews,
}


def reminder_table(found: Round, now: datetime) -> list[ToTester]:
    """Each tester who sews, with the reminders of the report that is next, in their own time."""
    places = list(found.places.filter(state__in=[PlaceState.ACCEPTED, PlaceState.FINISHED]).prefetch_related("reports"))
    wanted = set(may_be_reminded().filter(round=found).values_list("pk", flat=True))
    rows = MailSent.objects.filter(place__in=places, kind__in=REMINDERS)
    gone = {(row.place_id, row.kind, row.about): row for row in rows}
    for place in places:
        place.round = found
    return [_to_tester(place, place.pk in wanted, gone, now) for place in places]


def _to_tester(place: Place, wanted: bool, gone: dict[Any, MailSent], now: datetime) -> ToTester:
    due = list(reminders([place]))
    leaving = [_leaving(one, gone.get((place.pk, one.kind, one.about)), wanted, now) for one in due]
    said = ""
    if place.reminders_off:
        said = _("wants no reminders")
    elif not place.email:
        said = _("has no e-mail here")
    return ToTester(place, str(zone_of(place)), leaving, said)


def _leaving(one: Reminder, row: MailSent | None, wanted: bool, now: datetime) -> Leaving:
    if row is not None:
        said = _("sent") if row.sent_at else _("may not have left; it is not sent twice")
    elif not wanted:
        said = _("not sent")
    else:
        last = one.at + timedelta(days=settings.REMIND_DAYS_LATE + 1)
        said = (
            _("was not sent")
            if now > last
            else (_("leaves in the next hour of their day") if now >= one.at else _("to come"))
        )
    return Leaving(one, one.at, said)


# its very words


def sample(found: Round, key: str, by: Person) -> tuple[EmailMultiAlternatives, Place]:
    """This mail as it would go to the first who would get it, or else to an invented tester. No secret is in it."""
    mail = BY_KEY[key]
    place = _somebody(found, mail)
    place.round = found
    # Not written: a mail about somebody without a size is shown with the likeliest.
    place.size = place.size or place.advised_size or found.version.base_size or ""
    link = reverse("tester_link", args=[NO_SECRET])
    if key in REMINDERS:
        return reminder_mail(_reminder(place, key), path=link), place
    if key == MailKind.MESSAGE:
        return message_mail(place, path=link), place
    to = place.email if mail.to_testers else by.email
    context = context_of(place) | _more(found, place, by) | {"to_studio": key == TO_STUDIO}
    language = place.language if mail.to_testers else by.language
    return written(to=to, template=FILES[key], context=context, language=language), place


FILES = {
    **TEMPLATES,
    APPLICATION: "mail/application_received.txt",
    INVITATION: "mail/invitation.txt",
    NEW_LINK: "mail/new_link.txt",
    TO_STUDIO: TEMPLATES[MailKind.MESSAGE],
}


def _somebody(found: Round, mail: Mail) -> Place:
    places = found.places.exclude(email="")
    wanted = WOULD_GET.get(mail.key, lambda place: False)
    invented = Place(
        round=found, name="Nell Harrow", email="nell@post.example", size=found.version.base_size or "", ref="x" * 10
    )
    for place in places:
        place.round = found
        if wanted(place):
            return place
    return places.first() or invented


def _reminder(place: Place, kind: str) -> Reminder:
    """The reminder of this kind; where the round names no day, one that leaves today."""
    for one in calendar(place):
        if one.kind == kind:
            return one
    today = timezone.now().date()
    ahead = {MailKind.BEFORE: settings.REMIND_DAYS_BEFORE, MailKind.AFTER: -settings.REMIND_DAYS_AFTER}
    return Reminder(place, MailKind(kind), place.stage, today + timedelta(days=ahead.get(MailKind(kind), 0)), today)


def _more(found: Round, place: Place, by: Person) -> dict[str, Any]:
    now = timezone.now()
    return {
        "what": "new",
        "keep_until": day_they_go(now),
        "take_back": site_address(reverse("call_take_back", args=[found.call_ref, NO_SECRET])),
        "link": site_address(reverse("tester_link", args=[NO_SECRET])),
        "expires": (now + timedelta(days=settings.TESTER_LINK_DAYS)).date(),
        "by": by,
        "size": place.size or found.version.base_size,
        "moving": True,
        "page": site_address(reverse("panel", args=[found.ref])),
    }

"""Mails that must not leave twice: reminders, answers to applicants, and what the studio is told.

The order is claim, send, mark. The claim, a row under a unique key, is committed before the mail leaves; where a
worker dies in between, the job that runs again finds the claim and sends nothing. So each mail leaves at most once,
and one may fail to leave: its claim then stays without a time, and the page of the round's mails says so. That the
mail server answers at all is tried before the claim, so that an outage delays mails and loses none.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Mapping
from datetime import timedelta
from functools import partial
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage, EmailMultiAlternatives, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.core.signing import Signer
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from people import audit
from people.access import EDITORS
from people.mail import MailNotSent, send, site_address, written
from people.models import Person
from testing_rounds.actions.visits import issue_link, locked, studio_of
from testing_rounds.models import FitReport, MailKind, MailSent, Message, Place, Stage
from testing_rounds.reminders import Reminder, still_open

log = logging.getLogger(__name__)
# Signs the address that ends reminders; it goes only to the tester's own mail address.
NO_REMINDERS = Signer(salt="reminders")
TEMPLATES: Mapping[str, str] = {
    MailKind.BEFORE: "mail/reminder_before.txt",
    MailKind.ON_THE_DAY: "mail/reminder_day.txt",
    MailKind.AFTER: "mail/reminder_after.txt",
    MailKind.RESERVE: "mail/reserve.txt",
    MailKind.DECLINED: "mail/declined.txt",
    MailKind.REPORT: "tester/mail/report_sent.txt",
    MailKind.STOPPED: "mail/stopped.txt",
    MailKind.MESSAGE: "mail/message.txt",
}


# once


def send_once(*, place: Place, kind: str, about: str, reader: str, write: Callable[[], EmailMessage]) -> bool:
    """Send this mail unless it was sent, or may have been. `write` makes it, and may write to the database.

    Call it outside a transaction. Raises MailNotSent, before anything is claimed, when the mail server does not
    answer: a job then tries again later. Returns whether a mail has left.
    """
    connection = _open_connection()
    try:
        with transaction.atomic(durable=True):
            row, claimed = MailSent.objects.get_or_create(place=place, kind=kind, about=about, reader=reader)
            message = write() if claimed else None
        if message is None:
            return False
        send(message, connection)
        MailSent.objects.filter(pk=row.pk).update(sent_at=timezone.now())
    except MailNotSent:
        log.warning("Mail %s of %s may not have left; it is not sent again.", kind, place.ref)
        return False
    finally:
        connection.close()
    return True


def _open_connection() -> BaseEmailBackend:
    connection = get_connection()
    try:
        connection.open()
    except OSError as cause:
        raise MailNotSent from cause
    return connection


# to testers


def send_reminder(one: Reminder) -> bool:
    """Remind a tester, unless they were, or the report has come in meanwhile."""
    if not still_open(one):
        return False
    return send_once(
        place=one.place, kind=one.kind, about=one.about, reader=one.place.ref, write=lambda: reminder_mail(one)
    )


def reminder_mail(one: Reminder, path: str | None = None) -> EmailMultiAlternatives:
    """The reminder with a new link of the tester's own and a way to end reminders; neither with `path`, for a look."""
    place = one.place
    token = NO_REMINDERS.sign(place.ref) if path is None else "its-own-address"
    end = site_address(reverse("reminders_stop", args=[token]))
    link = site_address(issue_link(place, by=None) if path is None else path)
    context = context_of(place) | {
        "due": one.due,
        "days": (one.due - one.day).days,
        "finished": one.stage == Stage.FINISHED,
        "link": f"{link}?to=finished" if one.stage == Stage.FINISHED else link,
        "more_days": f"{link}?to=dates",
        "stop": f"{link}?to=stop",
        "no_reminders": end,
    }
    headers = {"List-Unsubscribe": f"<{end}>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"}
    return written(
        to=place.email, template=TEMPLATES[one.kind], context=context, headers=headers, language=place.language
    )


def tell_applicant(*, place: Place, kind: str) -> bool:
    """Tell an applicant of a reserve or a refusal, once."""
    if not place.email:
        return False
    context = context_of(place)
    return send_once(
        place=place, kind=kind, about=place.round.ref, reader=place.ref,
        write=lambda: written(
            to=place.email, template=TEMPLATES[kind], context=context, language=place.language
        ),
    )  # fmt: skip


# to the studio


def tell_of_report(*, report: FitReport) -> None:
    """Write to those who decide: a report has come in. The mail says nothing of what is in it, or of whom it is."""
    version = report.place.round.version
    context = {"version": version, "size": report.size, "page": site_address(reverse("report", args=[report.ref]))}
    _tell_editors(report.place, MailKind.REPORT, report.ref, context)


def tell_of_stop(*, place: Place) -> None:
    """Write to those who decide: a place is free, and who could move up."""
    from testing_rounds.panel_candidates import who_moves_up

    moving = who_moves_up(place)
    page = site_address(f"{reverse('panel', args=[place.round.ref])}#free")
    context = context_of(place) | {"moving": moving is not None, "page": page}
    _tell_editors(place, MailKind.STOPPED, (place.dropped_at or timezone.now()).isoformat()[:19], context)


def _tell_editors(place: Place, kind: str, about: str, context: dict[str, Any]) -> None:
    for person in editors(place):
        write = partial(written, to=person.email, template=TEMPLATES[kind], context=context, language=person.language)
        send_once(place=place, kind=kind, about=about, reader=person.ref, write=write)


def editors(place: Place) -> list[Person]:
    members = studio_of(place).memberships.filter(role__in=EDITORS).select_related("person").order_by("pk")
    return [member.person for member in members]


# messages


def tell_of_message(*, message: Message) -> None:
    """A mail to the other side: somebody wrote. It names no word of the message; that is read after signing in."""
    place = message.place
    if _announced(message):
        return
    if message.from_tester:
        page = site_address(f"{reverse('place_messages', args=[place.ref])}#last")
        _tell_editors(place, MailKind.MESSAGE, message.ref, context_of(place) | {"to_studio": True, "page": page})
    elif place.email:
        send_once(
            place=place, kind=MailKind.MESSAGE, about=message.ref, reader=place.ref, write=lambda: message_mail(place)
        )


def _announced(message: Message) -> bool:
    """Whether a mail of the last minutes has told the reader already of a message that still waits to be read."""
    waiting = Message.objects.filter(
        place=message.place, from_tester=message.from_tester, read_at=None, pk__lt=message.pk
    )
    since = timezone.now() - timedelta(minutes=settings.MESSAGE_MAIL_MINUTES)
    told = MailSent.objects.filter(
        place=message.place, kind=MailKind.MESSAGE, about__in=waiting.values("ref"), claimed_at__gt=since
    )
    return told.exists()


def message_mail(place: Place, path: str | None = None) -> EmailMultiAlternatives:
    link = site_address(issue_link(place, by=None) if path is None else path)
    context = context_of(place) | {"to_studio": False, "page": f"{link}?to=messages"}
    return written(to=place.email, template=TEMPLATES[MailKind.MESSAGE], context=context, language=place.language)


# the tester's wish


@transaction.atomic
def set_reminders(*, place: Place, wanted: bool) -> None:
    """Reminders end with one click, and may come again."""
    place = locked(place)
    if wanted != bool(place.reminders_off):
        return
    place.reminders_off = None if wanted else timezone.now()
    place.save(update_fields=["reminders_off"])
    audit.record(studio=studio_of(place), by=place, verb="reminders_on" if wanted else "reminders_off", thing=place)


def context_of(place: Place) -> dict[str, Any]:
    """What every mail about a place may say."""
    version = place.round.version
    return {
        "place": place,
        "name": place.name,
        "round": place.round,
        "version": version,
        "pattern": version.pattern,
        "studio": version.pattern.studio,
    }


def send_reminders(due: Iterable[Reminder]) -> int:
    """Send what is due. Returns how many left."""
    return sum(send_reminder(one) for one in due)

"""Messages between a studio and a tester: written once, told by mail, read after signing in."""

from __future__ import annotations

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from people import audit
from people.models import Person
from releases.actions.refused import Refused
from testing_rounds.actions.visits import locked, studio_of
from testing_rounds.jobs import bring_message
from testing_rounds.models import FitReport, Message, Place


@transaction.atomic
def send_message(
    *, place: Place, text: str, sent_key: str, by: Person | None, report: FitReport | None = None
) -> Message:
    """A message of a person of the studio, or of the tester (`by` None). The same `sent_key` again is the same
    message. Raises Refused where the page of messages is full."""
    place = locked(place)
    known = Message.objects.filter(place=place, sent_key=sent_key).first()
    if known is not None:
        return known
    if place.messages.count() >= settings.MESSAGES_PER_PLACE:
        raise Refused(_("There is no room for more messages in this round."))
    message = Message.objects.create(
        place=place, report=report, from_tester=by is None, writer=by, text=text, sent_key=sent_key
    )
    audit.record(studio=studio_of(place), by=by or place, verb="message_sent", thing=message)
    bring_message.enqueue(message.ref)
    return message


@transaction.atomic
def mark_read(*, place: Place, by_tester: bool) -> int:
    """The other side's messages have been looked at. Returns how many were new."""
    return Message.objects.filter(place=place, from_tester=not by_tester, read_at=None).update(read_at=timezone.now())

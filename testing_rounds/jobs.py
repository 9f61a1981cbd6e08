"""Jobs of testing rounds. Each may run twice: its effect is written once."""

from __future__ import annotations

from contextlib import suppress
from datetime import timedelta

from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import override
from django_tasks import task

from testing_rounds.models import ArrivingPhoto, FitReport, MailKind, Message, Place, PlaceState, Round, Summary

PLACES = Place.objects.select_related(
    "round__version__pattern__studio", "round__version__body_chart__chart", "round__version__finished_chart", "body"
)


@task()
def prepare_photo(ref: str) -> None:
    """Write the two sizes of an uploaded photo and drop the upload."""
    from testing_rounds.actions.photos import make_ready

    make_ready(ref)


@task()
def forget_in_time(place_ref: str) -> None:
    """On the day that was promised: erase a tester's measurements and photos."""
    from testing_rounds.actions.visits import keep_promise

    place = Place.objects.filter(ref=place_ref).first()
    if place is not None:
        keep_promise(place=place)


@task()
def tell_editors(report_ref: str) -> None:
    """Write to those who decide: a report has come in."""
    from testing_rounds.actions.mails import tell_of_report

    report = FitReport.objects.select_related("place__round__version__pattern__studio").filter(ref=report_ref).first()
    if report is not None:
        tell_of_report(report=report)


@task()
def tell_of_free_place(place_ref: str) -> None:
    """Write to those who decide: a tester has stopped, and who could move up."""
    from testing_rounds.actions.mails import tell_of_stop

    place = PLACES.filter(ref=place_ref, state=PlaceState.DROPPED_OUT).first()
    if place is not None:
        tell_of_stop(place=place)


@task()
def answer_applicant(place_ref: str, kind: str) -> None:
    """Tell an applicant that they are in reserve, or that there is no place this time."""
    from testing_rounds.actions.mails import tell_applicant

    still = {MailKind.RESERVE: PlaceState.RESERVE, MailKind.DECLINED: PlaceState.DROPPED_OUT}
    place = PLACES.filter(ref=place_ref, state=still[MailKind(kind)]).first()
    if place is not None:
        tell_applicant(place=place, kind=kind)


@task()
def bring_message(message_ref: str) -> None:
    """Tell the other side that somebody wrote."""
    from testing_rounds.actions.mails import tell_of_message

    message = Message.objects.select_related("place__round__version__pattern__studio").filter(ref=message_ref).first()
    if message is not None:
        tell_of_message(message=message)


@task()
def tell_recalled(round_ref: str) -> None:
    """Write to those who decide: a photo that is shown somewhere is to be taken down."""
    from people.access import EDITORS
    from people.mail import MailNotSent, send_after_commit, site_address
    from testing_rounds.actions.uses import recalled_uses

    found = Round.objects.select_related("version__pattern__studio").filter(ref=round_ref).first()
    uses = list(recalled_uses(found)) if found else []
    if found is None or not uses:
        return
    page = site_address(reverse("round_shown", args=[found.ref]))
    context = {"version": found.version, "round": found, "uses": uses, "page": page}
    for member in found.version.pattern.studio.memberships.filter(role__in=EDITORS).select_related("person"):
        with suppress(MailNotSent):
            send_after_commit(
                to=member.person.email, template="mail/recalled.txt", context=context, language=member.person.language
            )


@task()
def send_reminders() -> None:
    """Hourly: remind testers of their reports, in the hours of their own day."""
    from testing_rounds.actions.mails import send_reminders
    from testing_rounds.reminders import due_now

    send_reminders(due_now(timezone.now()))


@task()
def judge_fixes(round_id: int) -> None:
    """After a change to a round: are the fixes that it sews confirmed, or no longer so?"""
    from testing_rounds.actions.fixes import recheck_fixes

    found = Round.objects.select_related(
        "version__pattern__studio", "version__body_chart__chart", "version__finished_chart__chart"
    ).filter(pk=round_id)
    for one in found:
        recheck_fixes(found=one)


@task()
def make_summary(ref: str) -> None:
    """Make a fit-issue summary, unless it was taken away meanwhile."""
    from testing_rounds.summary_document import write

    asked = Summary.objects.filter(ref=ref).first()
    if asked is not None:
        with override(asked.language or settings.LANGUAGE_CODE):
            write(asked)


@task()
def read_again(round_id: int) -> None:
    """Read a round that has changed, so that its pages find the readings; once for each revision."""
    from testing_rounds.actions.readings import read_and_keep

    found = Round.objects.filter(pk=round_id).first()
    if found is not None:
        read_and_keep(found)


@task()
def keep_promises() -> None:
    """Nightly: erase what should have gone by now, applicants of rounds long closed, and files that nothing names."""
    from people.arriving import sweep_arriving, sweep_loose_parts
    from testing_rounds.actions.erasing import erase_tester
    from testing_rounds.actions.nightly import mark_closed_rounds, old_applicants, overdue_places, sweep_photos
    from testing_rounds.actions.summaries import sweep_summaries
    from testing_rounds.actions.visits import keep_promise

    now = timezone.now()
    for place in overdue_places(now):
        keep_promise(place=place)
    mark_closed_rounds(now.date())
    erase_tester(places=old_applicants(now.date()), by=None)
    sweep_arriving(ArrivingPhoto, now - timedelta(days=settings.UPLOAD_DAYS))
    sweep_loose_parts(now - timedelta(days=1))
    sweep_photos(now - timedelta(days=1))
    sweep_summaries(now - timedelta(days=1))

"""Jobs of testing rounds. Each may run twice: its effect is written once."""

from __future__ import annotations

from contextlib import suppress
from datetime import timedelta

from django.urls import reverse
from django.utils import timezone
from django_tasks import task

from people.access import EDITORS
from testing_rounds.models import FitReport, Place, Round, Summary


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
    """Write to those who decide: a report has come in. The mail says nothing of what is in it, or of whom it is."""
    from people.mail import MailNotSent, send_after_commit, site_address

    report = FitReport.objects.select_related("place__round__version__pattern__studio").get(ref=report_ref)
    version = report.place.round.version
    page = site_address(reverse("report", args=[report.ref]))
    context = {"version": version, "size": report.size, "page": page}
    for member in version.pattern.studio.memberships.filter(role__in=EDITORS).select_related("person"):
        with suppress(MailNotSent):
            send_after_commit(to=member.person.email, template="tester/mail/report_sent.txt", context=context)


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
    """Nightly: erase what should have gone by now, and files that no photo and no summary names."""
    from testing_rounds.actions.nightly import overdue_places, sweep_photos
    from testing_rounds.actions.summaries import sweep_summaries
    from testing_rounds.actions.visits import keep_promise

    now = timezone.now()
    for place in overdue_places(now):
        keep_promise(place=place)
    sweep_photos(now - timedelta(days=1))
    sweep_summaries(now - timedelta(days=1))

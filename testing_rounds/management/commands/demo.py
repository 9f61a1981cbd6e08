"""`manage.py demo`: an invented studio with a round full of reports, and the links to walk in as each person."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.db import transaction
from django.utils import timezone

from people.commands import PlainCommand
from people.demo_links import demo_link
from people.models import Membership, Person, Studio
from testing_rounds.actions.visits import issue_link
from testing_rounds.demo import scenario
from testing_rounds.demo.story import build
from testing_rounds.models import Place


class Command(PlainCommand):
    help = "Make the demo studio; with --links print the addresses that sign in as each of its people."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--links", action="store_true", help="print the sign-in links and make nothing")
        parser.add_argument("--base-url", default=settings.SITE_ADDRESS, help="where the app is served")

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.DEMO_SIGN_IN:
            raise CommandError("The demo is for a machine of one's own: DEMO_SIGN_IN is off.", returncode=2)
        if options["links"]:
            self._print_links(options["base_url"].rstrip("/"))
        elif not Person.objects.filter(email=scenario.OWNER[1]).exists():
            self._make()

    def _make(self) -> None:
        # Nobody of the demo has a mailbox: its thirty invitations would only fill the console.
        backend, settings.EMAIL_BACKEND = settings.EMAIL_BACKEND, "django.core.mail.backends.dummy.EmailBackend"
        began = timezone.now()
        try:
            with transaction.atomic():
                for part in build():
                    self.stdout.write(f"Demo: {part}")
                    self.stdout.flush()
        finally:
            settings.EMAIL_BACKEND = backend
        _drop_jobs_since(began)

    def _print_links(self, base: str) -> None:
        studio = Studio.objects.filter(name=scenario.STUDIO).first()
        for member in Membership.objects.filter(studio=studio).select_related("person").order_by("id"):
            self.stdout.write(f"Sign in as {member.role} ({member.person.name}): {base}{demo_link(member.person)}")
        places = Place.objects.filter(round__version__pattern__studio=studio)
        for name in (scenario.INVITED, scenario.HALF_WAY, scenario.SENT):
            for place in places.filter(name=name):
                self.stdout.write(f"Sign in as tester ({name}): {base}{issue_link(place, by=None)}")


def _drop_jobs_since(began: Any) -> None:
    """The demo did the work of most jobs itself; a worker looks into its files and makes its layouts."""
    from django_tasks_db.models import DBTaskResult

    left = DBTaskResult.objects.filter(enqueued_at__gte=began, status="READY")
    left.exclude(task_path__in=["releases.jobs.look_into_file", "releases.jobs.lay_pieces"]).delete()

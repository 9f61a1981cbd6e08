"""`manage.py export_round NAME`: a round as a round file on standard output."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext as _

from people.commands import PlainCommand
from testing_rounds.models import Round
from testing_rounds.round_file import dumps
from testing_rounds.round_names import names
from testing_rounds.round_store import load_round


class Command(PlainCommand):
    help = "Write a round file (docs/round-file.md). Names, photos and consents never leave in one."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", nargs="?", help="pattern and version, as in pebblewick-0.9")
        parser.add_argument("--list", action="store_true", help="the names of all rounds")
        parser.add_argument("--studio", help="only this studio's rounds")

    def handle(self, *args: Any, **options: Any) -> None:
        rounds = Round.objects.select_related(
            "version__pattern__studio", "version__body_chart", "version__finished_chart"
        )
        if options["studio"]:
            rounds = rounds.filter(version__pattern__studio__name=options["studio"])
        found = names(rounds.order_by("id"))
        if options["list"]:
            for name, one in found.items():
                self.stdout.write(f"{name}\t{one.version.pattern.studio}")
            return
        if options["name"] not in found:
            raise CommandError(_("There is no round of that name; --list shows the names."), returncode=2)
        self.stdout.write(dumps(load_round(found[options["name"]])))

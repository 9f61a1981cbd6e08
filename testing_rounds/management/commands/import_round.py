"""`manage.py import_round FILE --studio NAME`: a round file becomes a round of a studio."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.db import transaction
from django.utils.translation import gettext as _

from people.commands import PlainCommand
from people.models import Studio
from testing_rounds.actions.round_files import AlreadyThereError, import_round
from testing_rounds.round_file import RoundFileError, parse
from testing_rounds.round_names import round_name


class Command(PlainCommand):
    help = "Read a round file (docs/round-file.md) into a studio; a studio that is not there yet is made."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="a round file, or - for standard input")
        parser.add_argument("--studio", required=True, help="the studio's name")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            data = parse(self._read(options["file"]))
            with transaction.atomic():
                made = import_round(studio=self._studio(options["studio"]), data=data, by=None)
        except (RoundFileError, AlreadyThereError) as error:
            raise CommandError(str(error), returncode=2) from None
        except OSError as error:
            raise CommandError(f"{options['file']} cannot be read: {error.strerror}", returncode=2) from None
        self.stdout.write(
            _("Read %(name)s: %(count)d reports.") % {"name": round_name(made), "count": len(data.reports)}
        )

    def _read(self, name: str) -> bytes:
        return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()

    def _studio(self, name: str) -> Studio:
        found = list(Studio.objects.filter(name=name)[:2])
        if len(found) > 1:
            raise CommandError(_("Two studios have that name; nothing was changed."), returncode=2)
        return found[0] if found else Studio.objects.create(name=name)

"""manage.py restore FILE: a backup becomes this copy's data."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import CommandError

from people.backups import BackupError, read_backup
from people.commands import PlainCommand


class Command(PlainCommand):
    help = "Put a backup back into an empty copy, with web processes and workers stopped."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="an archive that manage.py backup wrote")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        try:
            count = read_backup(file)
        except BackupError as wrong:
            raise CommandError(str(wrong), returncode=2) from None
        # A backup of an older release is brought up to this one.
        call_command("migrate", interactive=False, verbosity=0)
        self.stdout.write(f"{file}: the database and {count} files are in place.")

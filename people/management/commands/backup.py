"""manage.py backup FILE: the database and every stored file, in one archive."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from people.backups import BackupError, write_backup
from people.commands import PlainCommand


class Command(PlainCommand):
    help = "Write a backup (a tar archive) while the app runs. It holds personal data: keep it as safe as the app."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="where to write it; must not exist yet")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        try:
            count = write_backup(file)
        except (BackupError, OSError) as wrong:
            raise CommandError(str(wrong), returncode=2) from None
        self.stdout.write(f"{file}: the database and {count} files.")

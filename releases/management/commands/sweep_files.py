"""Remove stored pattern files that no version names, as a process that was stopped half way leaves them."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from releases.files import sweep


class Command(BaseCommand):
    help = "Remove stored pattern files that belong to no version."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--hours", type=int, default=24, help="spare files younger than this (default 24)")

    def handle(self, *, hours: int, **options: Any) -> None:
        gone = sweep(timezone.now() - timedelta(hours=hours))
        for name in gone:
            self.stdout.write(name)
        self.stdout.write(f"{len(gone)} removed")

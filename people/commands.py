"""Commands that end with one sentence where they cannot read their input."""

from __future__ import annotations

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError


class PlainCommand(BaseCommand):
    """From a shell a CommandError is its sentence alone and its return code; from Python it is raised as it is."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        try:
            return super().execute(*args, **options)
        except CommandError as wrong:
            if not getattr(self, "_called_from_command_line", False) or options.get("traceback"):
                raise
            self.stderr.write(str(wrong))
            sys.exit(wrong.returncode)

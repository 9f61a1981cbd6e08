"""manage.py work: a worker process."""

from __future__ import annotations

import os
import signal
import sys
from types import FrameType
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser

from people.worker import Worker

ASKS = (signal.SIGTERM, signal.SIGINT)


class Command(BaseCommand):
    help = "Runs background jobs until it is told to stop (Ctrl-C or SIGTERM); the job at hand is finished first."
    # A worker serves no pages: it stays small by leaving the views alone. `manage.py check` looks at them.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--until-empty", action="store_true", help="stop when no job is ready")

    def handle(self, *args: Any, until_empty: bool, **options: Any) -> None:
        worker = Worker()

        def stop(number: int, frame: FrameType | None) -> None:
            """Asked once: finish the job at hand. Asked again: end now, the job is handed out again."""
            if worker.stopped:
                # Leaving takes a moment: an impatient third time must not break it off.
                for each in ASKS:
                    signal.signal(each, signal.SIG_IGN)
                raise KeyboardInterrupt
            worker.stop()

        for number in ASKS:
            signal.signal(number, stop)
        try:
            done = worker.run(until_empty=until_empty, at_most=settings.JOBS_A_LIFE)
        except KeyboardInterrupt:
            self.stderr.write("Stopped amid a job; another worker takes it.")
            return
        if done == settings.JOBS_A_LIFE and not worker.stopped:
            # The same process begins anew, with the same words and an empty memory.
            os.execv(sys.executable, sys.orig_argv)  # noqa: S606

"""manage.py jobs: how the background jobs stand."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser
from django.db.models import Case, Count, Min, When
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from people.jobs import retry_failed_jobs
from people.models import WorkerSign


class Command(BaseCommand):
    help = "Says how many background jobs wait, run and failed, and how many workers are alive."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", dest="as_json", action="store_true", help="print JSON alone")
        parser.add_argument("--retry-failed", action="store_true", help="hand failed jobs out again")

    def handle(self, *args: Any, as_json: bool, retry_failed: bool, **options: Any) -> None:
        if retry_failed:
            retry_failed_jobs()
        self.stdout.write(_as_json() if as_json else _as_sentence())


def standing() -> dict[str, int]:
    """Counts, and for how many seconds the oldest job that could run has waited."""
    now = timezone.now()
    counted = dict(DBTaskResult.objects.order_by().values_list("status").annotate(count=Count("pk")))
    ready = DBTaskResult.objects.ready().order_by()
    due = Case(When(run_after__lte=now, then="run_after"), default="enqueued_at")
    since = ready.aggregate(at=Min(due))["at"] or now
    fresh = now - timedelta(seconds=settings.JOB_LEASE_SECONDS)
    return {
        "workers": WorkerSign.objects.filter(at__gt=fresh).count(),
        "waiting": ready.count(),
        "oldest_waits_seconds": int((now - since).total_seconds()),
        "for_later": counted.get("READY", 0) - ready.count(),
        "running": counted.get("RUNNING", 0),
        "failed": counted.get("FAILED", 0),
    }


def _as_json() -> str:
    return json.dumps(standing())


def _as_sentence() -> str:
    found = standing()
    waits = f" (the oldest for {found['oldest_waits_seconds']} s)" if found["waiting"] else ""
    return (
        f"{found['workers']} workers; jobs: {found['waiting']} waiting{waits}, {found['for_later']} for later, "
        f"{found['running']} running, {found['failed']} failed."
    )

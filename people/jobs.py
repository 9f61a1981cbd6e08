"""Jobs: enqueued in the transaction that needs them, run by a worker, run again when they fail or their worker dies.

Delivery is at least once: a job writes its effect under a unique key, so that a second run changes nothing.
"""

from __future__ import annotations

import logging
from datetime import date, datetime, timedelta

from django.conf import settings
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction
from django.utils import timezone
from django.utils.module_loading import import_string
from django_tasks import task
from django_tasks_db.models import DBTaskResult

from people.models import NightlySlot, WorkerSign
from people.personal_data import forget_pages

log = logging.getLogger(__name__)


def requeue_lost_jobs() -> int:
    """Hand jobs of dead workers out again; a job that was lost too often is left failed. Returns how many changed."""
    fresh = timezone.now() - timedelta(seconds=settings.JOB_LEASE_SECONDS)
    alive = set(WorkerSign.objects.filter(at__gt=fresh).values_list("worker", flat=True))
    lost = [job for job in DBTaskResult.objects.running() if not set(job.worker_ids[-1:]) & alive]
    return sum(_hand_back(job) for job in lost)


def _hand_back(job: DBTaskResult) -> int:
    tried = len(job.worker_ids)
    again = tried < settings.JOB_ATTEMPTS
    level = logging.WARNING if again else logging.ERROR
    log.log(level, "The worker of job %s (%s) died, time %d.", job.pk, job.task_path, tried)
    held = DBTaskResult.objects.filter(pk=job.pk, status="RUNNING", started_at=job.started_at)
    return held.update(status="READY") if again else held.update(status="FAILED", finished_at=timezone.now())


def retry_failed_jobs() -> int:
    """Give every failed job its attempts anew, after the cause was mended. Returns how many."""
    return DBTaskResult.objects.failed().update(status="READY", worker_ids=[], run_after=timezone.now())


def enqueue_nightly_jobs(now: datetime) -> int:
    """Once a day, after the hour of the night: enqueue each of settings.NIGHTLY_JOBS that no other worker did."""
    day = now.date()
    if now.hour < settings.NIGHTLY_HOUR:
        return 0
    known = set(NightlySlot.objects.filter(day=day).values_list("job", flat=True))
    return sum(_enqueue_for(path, day) for path in settings.NIGHTLY_JOBS if path not in known)


def enqueue_hourly_jobs(now: datetime) -> int:
    """Once an hour: enqueue each of settings.HOURLY_JOBS that no other worker did."""
    slots = {f"{path} {now.hour}": path for path in settings.HOURLY_JOBS}
    known = set(NightlySlot.objects.filter(day=now.date(), job__in=slots).values_list("job", flat=True))
    return sum(_enqueue_for(path, now.date(), slot) for slot, path in slots.items() if slot not in known)


def _enqueue_for(path: str, day: date, slot: str = "") -> bool:
    """The slot and the job are one transaction; a slot that another worker has just taken is left to it."""
    try:
        with transaction.atomic():
            NightlySlot.objects.create(job=slot or path, day=day)
            import_string(path).enqueue()
    except IntegrityError:
        return False
    return True


def forget_stale_cache() -> None:
    """Drop what has run out: the cache itself does so only when it is full."""
    if settings.CACHES["default"]["BACKEND"].endswith("DatabaseCache"):
        table = connection.ops.quote_name(settings.CACHES["default"]["LOCATION"])
        with connection.cursor() as cursor:
            now = connection.ops.adapt_datetimefield_value(timezone.now().replace(microsecond=0))
            cursor.execute(f"DELETE FROM {table} WHERE expires < %s", [now])  # noqa: S608  (the table's own name)


@task()
def tidy() -> None:
    """Nightly: drop what nobody looks at again: sessions that ended, jobs that went well, old signs and slots; and
    on SQLite what was deleted, from the log that it writes ahead of its file."""
    before = timezone.now() - timedelta(days=settings.JOB_KEPT_DAYS)
    call_command("clearsessions")
    DBTaskResult.objects.successful().filter(finished_at__lt=before).delete()
    WorkerSign.objects.filter(at__lt=before).delete()
    NightlySlot.objects.filter(day__lt=before.date()).delete()
    forget_stale_cache()
    forget_pages()

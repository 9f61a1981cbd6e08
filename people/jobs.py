"""Jobs: enqueued in the transaction that needs them, run by a worker, run again if a worker dies.

Delivery is at least once: a job writes its effect under a unique key.
"""

from __future__ import annotations

import logging
import threading
from datetime import timedelta

from django.conf import settings
from django.db import close_old_connections
from django.utils import timezone

log = logging.getLogger(__name__)


def requeue_lost_jobs() -> int:
    """Hand jobs of dead workers out again; a job that was lost too often is left failed. Returns how many."""
    from django_tasks_db.models import DBTaskResult

    lost_before = timezone.now() - timedelta(seconds=settings.JOB_LEASE_SECONDS)
    requeued = 0
    for job in DBTaskResult.objects.filter(status="RUNNING", started_at__lt=lost_before):
        status = "READY" if len(job.worker_ids) < settings.JOB_ATTEMPTS else "FAILED"
        requeued += DBTaskResult.objects.filter(pk=job.pk, status="RUNNING").update(status=status)
    return requeued


def start_worker_if_asked() -> threading.Thread | None:
    """The in-process worker of a server on one machine: one daemon thread."""
    if not settings.WORKER_IN_PROCESS:
        return None
    thread = threading.Thread(target=_work, name="jobs", daemon=True)
    thread.start()
    return thread


def _work() -> None:
    from django_tasks_db.management.commands.db_worker import Worker

    while True:
        try:
            requeue_lost_jobs()
            # max_tasks brings the loop back here now and then, to look for lost jobs.
            Worker(
                queue_names=["*"],
                interval=0.5,
                batch=False,
                backend_name="default",
                startup_delay=False,
                max_tasks=50,
                worker_id=f"web-{threading.get_ident()}",
                excluded_queue_names=[],
            ).run()
        except Exception:
            log.exception("The worker stopped and starts again.")
            close_old_connections()
            threading.Event().wait(5)

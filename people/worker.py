"""The worker: takes one job after another, as a process of its own or as a thread of a server on one machine."""

from __future__ import annotations

import atexit
import logging
import os
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from traceback import format_exception
from typing import Any, cast

from django.conf import settings
from django.db import InterfaceError, OperationalError, close_old_connections, connections, transaction
from django.utils import timezone
from django.utils.crypto import get_random_string
from django_tasks import TaskContext
from django_tasks_db.models import DBTaskResult

from people.jobs import enqueue_hourly_jobs, enqueue_nightly_jobs, requeue_lost_jobs
from people.models import WorkerSign

log = logging.getLogger(__name__)


class Worker:
    """Runs jobs until `stop` is called; the job at hand is finished first."""

    def __init__(self) -> None:
        self.name = f"{socket.gethostname()[:30]}-{os.getpid()}-{get_random_string(12)}"
        # A plain flag: a signal may come while this thread holds the lock that an event would need.
        self.stopped = False
        self._looked_after = 0.0

    def stop(self) -> None:
        self.stopped = True

    def run(self, *, until_empty: bool = False, at_most: int | None = None) -> int:
        """Work until told to stop, until no job is ready, or until so many were run. Returns how many were run."""
        done, pause = 0, 0.0
        with self._showing_signs():
            while not self.stopped and done != at_most:
                try:
                    ran = self._one_turn()
                except (OperationalError, InterfaceError):
                    log.exception("The database does not answer; the worker waits for it.")
                    ran, pause = False, settings.JOB_RETRY_SECONDS
                else:
                    done, pause = done + ran, settings.JOB_POLL_SECONDS
                    if until_empty and not ran:
                        break
                if not ran:
                    close_old_connections()
                    self._wait(pause)
        return done

    def _wait(self, seconds: float) -> None:
        end = time.monotonic() + seconds
        while not self.stopped and (left := end - time.monotonic()) > 0:
            time.sleep(min(left, settings.JOB_POLL_SECONDS))

    def _one_turn(self) -> bool:
        """Look after the queue now and then; take a job if there is one."""
        close_old_connections()
        if not self._looked_after or time.monotonic() - self._looked_after > settings.JOB_SIGN_SECONDS:
            requeue_lost_jobs()
            enqueue_nightly_jobs(timezone.now())
            enqueue_hourly_jobs(timezone.now())
            self._looked_after = time.monotonic()
        job = take_job(self.name)
        if job is not None:
            run_job(job)
        return job is not None

    @contextmanager
    def _showing_signs(self) -> Iterator[None]:
        """Signs of life from a thread, so that a long job keeps its lease; the last act is to take the sign away."""
        ended = threading.Event()
        self._sign()
        thread = threading.Thread(target=self._keep_signing, args=[ended], name=f"signs of {self.name}", daemon=True)
        thread.start()
        try:
            yield
        finally:
            ended.set()
            thread.join()
            self.leave()

    def _keep_signing(self, ended: threading.Event) -> None:
        while not ended.wait(settings.JOB_SIGN_SECONDS):
            try:
                self._sign()
            except (OperationalError, InterfaceError):
                log.warning("The worker could not write its sign of life.", exc_info=True)
            finally:
                connections.close_all()

    def _sign(self) -> None:
        WorkerSign.objects.update_or_create(worker=self.name, defaults={"at": timezone.now()})

    def leave(self) -> None:
        """Take the sign of life away: a job that is still running is handed out again at once."""
        try:
            WorkerSign.objects.filter(worker=self.name).delete()
        except (OperationalError, InterfaceError):
            log.warning("The worker could not take its sign of life away.", exc_info=True)


def take_job(worker: str) -> DBTaskResult | None:
    """The next job that is ready, now this worker's own; None when there is none. Looking takes no lock."""
    if not DBTaskResult.objects.ready().exists():
        return None
    with transaction.atomic():
        job = DBTaskResult.objects.ready().get_locked()
        if job is not None:
            job.claim(worker)
    return job


def run_job(job: DBTaskResult) -> None:
    """Run a job that is ours and write how it went; a job that fails waits longer each time, then stays failed."""
    try:
        task, words = job.task, job.args_kwargs
        if task.takes_context:
            task.call(TaskContext(task_result=cast(Any, job.task_result)), *words["args"], **words["kwargs"])
        else:
            task.call(*words["args"], **words["kwargs"])
    except Exception as error:
        close_old_connections()
        _write_failure(job, error)
    else:
        _write(job, status="SUCCESSFUL", finished_at=timezone.now(), exception_class_path="", traceback="")


def _write_failure(job: DBTaskResult, error: Exception) -> None:
    kind = type(error)
    fields = {
        "exception_class_path": f"{kind.__module__}.{kind.__qualname__}",
        "traceback": "".join(format_exception(error)),
    }
    tried = len(job.worker_ids)
    if tried < settings.JOB_ATTEMPTS:
        log.warning("Job %s (%s) failed, time %d; it is tried again.", job.pk, job.task_path, tried, exc_info=error)
        later = timezone.now() + timedelta(seconds=settings.JOB_RETRY_SECONDS * 4 ** (tried - 1))
        _write(job, status="READY", run_after=later, **fields)
    else:
        log.error("Job %s (%s) failed for good.", job.pk, job.task_path, exc_info=error)
        _write(job, status="FAILED", finished_at=timezone.now(), **fields)


def _write(job: DBTaskResult, **fields: object) -> None:
    """Only while the job is still ours: after a lost lease another worker has the last word."""
    DBTaskResult.objects.filter(pk=job.pk, status="RUNNING", started_at=job.started_at).update(**fields)


def start_worker_if_asked() -> threading.Thread | None:
    """The worker inside a web server's process, where settings ask for it: one daemon thread."""
    if not settings.WORKER_IN_PROCESS:
        return None
    worker = Worker()
    thread = threading.Thread(target=_work_until_stopped, args=[worker], name="jobs", daemon=True)
    thread.start()
    # The thread ends with the process, perhaps amid a job: without its sign that job is handed out at the next start.
    atexit.register(worker.leave)
    return thread


def _work_until_stopped(worker: Worker) -> None:
    while not worker.stopped:
        try:
            worker.run()
        except Exception:
            log.exception("The worker stopped and starts again.")
            threading.Event().wait(settings.JOB_RETRY_SECONDS)
        finally:
            connections.close_all()

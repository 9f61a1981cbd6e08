"""Worker processes: killed, stopped, several at once. What they do is waited for on pipes and on their end."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import timedelta

import pytest
from django.conf import settings
from django.db.models import F
from django_tasks_db.models import DBTaskResult

from people.models import AuditEntry, WorkerSign
from tests.holds.servers import DEADLINE, database_url
from tests.house.project import ROOT
from tests.people import some_jobs
from tests.people.pipes import pipes

__all__ = ["pipes"]

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def start(tmp_path) -> Iterator[Callable[..., subprocess.Popen]]:
    """Start a worker process on the test's database; none outlives the test."""
    started = []
    env = {**os.environ, "DATABASE_URL": database_url(), "DATA_DIR": str(tmp_path), "PYTHONPATH": str(ROOT)}
    env["DJANGO_SETTINGS_MODULE"] = "tests.worker_settings"

    def start_one(*arguments: str, **more: str) -> subprocess.Popen:
        command = [sys.executable, str(ROOT / "manage.py"), "work", *arguments]
        started.append(subprocess.Popen(command, cwd=ROOT, env={**env, **more}))
        return started[-1]

    yield start_one
    for child in started:
        if child.poll() is None:
            child.kill()
        child.wait()


def test_a_job_whose_worker_was_killed_is_finished_by_another(start, pipes) -> None:
    job = pipes.enqueue()
    first = start()
    pipes.wait_until_begun()
    first.kill()
    first.wait(DEADLINE)
    job.refresh_from_db()
    assert job.status == "RUNNING"
    age = timedelta(seconds=settings.JOB_LEASE_SECONDS)
    assert WorkerSign.objects.update(at=F("at") - age) == 1
    second = start("--until-empty")
    pipes.wait_until_begun()
    pipes.let_go()
    assert second.wait(DEADLINE) == 0
    job.refresh_from_db()
    assert (job.status, len(set(job.worker_ids))) == ("SUCCESSFUL", 2)
    assert AuditEntry.objects.filter(verb="done").count() == 1


def test_a_worker_that_is_asked_to_stop_finishes_the_job_at_hand(start, pipes) -> None:
    job, after = pipes.enqueue(), some_jobs.write_entry.enqueue("after")
    worker = start()
    pipes.wait_until_begun()
    worker.send_signal(signal.SIGTERM)
    pipes.let_go()
    assert worker.wait(DEADLINE) == 0
    job.refresh_from_db()
    assert job.status == "SUCCESSFUL"
    assert DBTaskResult.objects.get(pk=after.id).status == "READY"
    assert not WorkerSign.objects.exists()


def ended_by_asking(worker: subprocess.Popen) -> int:
    """Press Ctrl-C until it ends: one that comes just before the job waits in the system is heard at the next."""
    for _ in range(DEADLINE):
        worker.send_signal(signal.SIGINT)
        try:
            return worker.wait(1)
        except subprocess.TimeoutExpired:
            continue
    raise AssertionError("the worker did not end")


def test_a_worker_that_is_asked_twice_leaves_the_job_to_another(start, pipes) -> None:
    job = pipes.enqueue()
    worker = start()
    pipes.wait_until_begun()
    worker.send_signal(signal.SIGTERM)
    assert ended_by_asking(worker) == 0
    second = start("--until-empty")
    pipes.wait_until_begun()
    pipes.let_go()
    assert second.wait(DEADLINE) == 0
    job.refresh_from_db()
    assert (job.status, len(job.worker_ids)) == ("SUCCESSFUL", 2)


def test_workers_at_once_run_each_job_once(start) -> None:
    for number in range(40):
        some_jobs.write_entry.enqueue(f"job {number}")
    workers = [start("--until-empty") for _ in range(3)]
    assert [worker.wait(DEADLINE) for worker in workers] == [0, 0, 0]
    verbs = list(AuditEntry.objects.filter(verb__startswith="job ").values_list("verb", flat=True))
    assert sorted(verbs) == sorted(f"job {number}" for number in range(40))


def test_a_worker_begins_anew_after_a_while_and_loses_no_job(start) -> None:
    """Five jobs, two a life: the same process lives three times."""
    jobs = [some_jobs.write_entry.enqueue(f"job {number}").id for number in range(5)]
    assert start("--until-empty", JOBS_A_LIFE="2").wait(DEADLINE) == 0
    found = list(DBTaskResult.objects.filter(pk__in=jobs))
    assert {job.status for job in found} == {"SUCCESSFUL"}
    workers = {job.worker_ids[0] for job in found}
    assert len(workers) == 3
    assert len({name.rsplit("-", 2)[1] for name in workers}) == 1

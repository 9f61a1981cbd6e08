"""A job of a worker that died is handed out again, and not for ever."""

from datetime import timedelta

import pytest
from django.conf import settings
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from people.jobs import requeue_lost_jobs, start_worker_if_asked

pytestmark = pytest.mark.django_db


def running_job(*, seconds: int, workers: int = 1) -> DBTaskResult:
    started = timezone.now() - timedelta(seconds=seconds)
    return DBTaskResult.objects.create(
        status="RUNNING",
        started_at=started,
        args_kwargs={"args": [], "kwargs": {}},
        task_path="people.jobs.none",
        worker_ids=[f"w{i}" for i in range(workers)],
        backend_name="default",
        run_after=started,
    )


def test_a_job_past_its_lease_is_ready_again():
    job = running_job(seconds=settings.JOB_LEASE_SECONDS + 1)
    assert requeue_lost_jobs() == 1
    job.refresh_from_db()
    assert job.status == "READY"


def test_a_job_within_its_lease_is_left_alone():
    job = running_job(seconds=settings.JOB_LEASE_SECONDS - 60)
    assert requeue_lost_jobs() == 0
    job.refresh_from_db()
    assert job.status == "RUNNING"


def test_a_job_lost_too_often_is_given_up():
    job = running_job(seconds=settings.JOB_LEASE_SECONDS + 1, workers=settings.JOB_ATTEMPTS)
    requeue_lost_jobs()
    job.refresh_from_db()
    assert job.status == "FAILED"


def test_no_worker_starts_in_a_process_that_was_not_asked_to_have_one():
    assert start_worker_if_asked() is None

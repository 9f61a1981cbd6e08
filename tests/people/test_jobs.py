"""Jobs are run, run again when they fail or their worker dies, given up after a while; and the night's jobs once."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings
from django.core.cache import cache
from django.core.management import call_command
from django.db import OperationalError, connection
from django.utils import timezone
from django.utils.module_loading import import_string
from django_tasks_db.models import DBTaskResult

from people import worker as working
from people.jobs import enqueue_hourly_jobs, enqueue_nightly_jobs, requeue_lost_jobs, tidy
from people.models import AuditEntry, NightlySlot, Person, WorkerSign
from people.worker import Worker, start_worker_if_asked
from tests.database_file import bytes_of_sqlite
from tests.factories import make_person
from tests.people import some_jobs

pytestmark = pytest.mark.django_db

NIGHT = datetime(2030, 5, 4, 3, 10, tzinfo=UTC)


@pytest.fixture(autouse=True)
def quiet_worker(settings, monkeypatch) -> None:
    """Nightly jobs only where a test asks for them; the test's own connection stays open between jobs."""
    settings.NIGHTLY_JOBS = []
    settings.HOURLY_JOBS = []
    monkeypatch.setattr(working, "close_old_connections", lambda: None)


def enqueue(task, *args: str) -> DBTaskResult:
    return DBTaskResult.objects.get(pk=task.enqueue(*args).id)


def work(job: DBTaskResult | None = None, worker: Worker | None = None) -> None:
    """Run all that is ready, then look at the job again."""
    (worker or Worker()).run(until_empty=True)
    if job is not None:
        job.refresh_from_db()


def taken_by(name: str, *, times: int = 1) -> DBTaskResult:
    """A job that a worker of that name has taken, so many times."""
    job = enqueue(some_jobs.write_entry, "seam")
    for _ in range(times):
        job.claim(name)
    return job


def sign(name: str, *, seconds_ago: float) -> None:
    WorkerSign.objects.create(worker=name, at=timezone.now() - timedelta(seconds=seconds_ago))


def test_a_job_is_run_once() -> None:
    job = enqueue(some_jobs.write_entry, "seam")
    work(job)
    work(job)
    assert (job.status, AuditEntry.objects.filter(verb="seam").count()) == ("SUCCESSFUL", 1)


def test_a_job_for_later_waits() -> None:
    later = some_jobs.write_entry.using(run_after=timezone.now() + timedelta(days=1))
    job = enqueue(later, "seam")
    work(job)
    assert job.status == "READY"


def test_a_job_is_told_its_attempt_when_it_asks() -> None:
    work(enqueue(some_jobs.write_attempt))
    assert AuditEntry.objects.get().verb == "attempt 1"


def test_a_job_that_fails_is_tried_again_later_and_given_up_at_last() -> None:
    job = enqueue(some_jobs.fail, "thread broke")
    waits = []
    for _ in range(settings.JOB_ATTEMPTS):
        DBTaskResult.objects.update(run_after=timezone.now())
        before = timezone.now()
        work(job)
        waits.append(job.run_after - before > timedelta(seconds=settings.JOB_RETRY_SECONDS))
    assert job.status == "FAILED"
    assert waits == [True] * (settings.JOB_ATTEMPTS - 1) + [False]
    assert "thread broke" in job.traceback
    assert job.exception_class_path == "builtins.RuntimeError"
    DBTaskResult.objects.update(run_after=timezone.now())
    work(job)
    assert len(job.worker_ids) == settings.JOB_ATTEMPTS


def test_a_job_whose_program_has_gone_is_given_up_and_others_go_on() -> None:
    gone = enqueue(some_jobs.write_entry, "seam")
    DBTaskResult.objects.filter(pk=gone.pk).update(task_path="people.jobs.none", priority=9)
    other = enqueue(some_jobs.write_entry, "hem")
    work(other)
    gone.refresh_from_db()
    assert (gone.status, len(gone.worker_ids), other.status) == ("READY", 1, "SUCCESSFUL")


def test_what_a_failed_job_wrote_in_its_transaction_is_gone() -> None:
    work(enqueue(some_jobs.write_then_fail, "seam"))
    assert not AuditEntry.objects.exists()


def test_a_job_of_a_silent_worker_is_handed_out_again() -> None:
    sign("silent", seconds_ago=settings.JOB_LEASE_SECONDS + 1)
    job = taken_by("silent")
    assert requeue_lost_jobs() == 1
    work(job)
    assert (job.status, len(job.worker_ids)) == ("SUCCESSFUL", 2)


def test_a_job_of_a_worker_without_a_sign_is_handed_out_at_once() -> None:
    taken_by("left")
    assert requeue_lost_jobs() == 1


def test_a_long_job_of_a_living_worker_is_left_alone() -> None:
    sign("living", seconds_ago=settings.JOB_LEASE_SECONDS / 2)
    job = taken_by("living")
    DBTaskResult.objects.update(started_at=timezone.now() - timedelta(hours=2))
    assert requeue_lost_jobs() == 0
    job.refresh_from_db()
    assert job.status == "RUNNING"


def test_a_job_lost_too_often_is_given_up() -> None:
    job = taken_by("gone", times=settings.JOB_ATTEMPTS)
    requeue_lost_jobs()
    job.refresh_from_db()
    assert job.status == "FAILED"


def test_a_worker_that_lost_its_lease_does_not_overrule_the_next_one() -> None:
    slow = taken_by("slow")
    requeue_lost_jobs()
    fast = DBTaskResult.objects.get(pk=slow.pk)
    fast.claim("fast")
    working.run_job(slow)
    fast.refresh_from_db()
    assert (fast.status, fast.worker_ids) == ("RUNNING", ["slow", "fast"])


def test_a_worker_shows_its_sign_while_it_works_and_takes_it_away() -> None:
    seen = []
    some_jobs.during = lambda: seen.extend(WorkerSign.objects.values_list("worker", flat=True))
    worker = Worker()
    enqueue(some_jobs.call_during)
    work(worker=worker)
    assert seen == [worker.name]
    assert not WorkerSign.objects.exists()


def test_a_worker_that_is_told_to_stop_finishes_its_job_and_takes_no_other() -> None:
    worker = Worker()
    some_jobs.during = worker.stop
    first, second = enqueue(some_jobs.call_during), enqueue(some_jobs.call_during)
    worker.run()
    states = DBTaskResult.objects.in_bulk([first.pk, second.pk])
    assert [states[first.pk].status, states[second.pk].status] == ["SUCCESSFUL", "READY"]


def test_a_worker_waits_for_a_database_that_does_not_answer(monkeypatch, settings) -> None:
    settings.JOB_RETRY_SECONDS = 0.001
    job = enqueue(some_jobs.write_entry, "seam")
    answers = iter([OperationalError("the database is away"), None])

    def look() -> int:
        trouble = next(answers, None)
        if trouble:
            raise trouble
        return 0

    monkeypatch.setattr(working, "requeue_lost_jobs", look)
    work(job)
    assert job.status == "SUCCESSFUL"


def test_no_worker_starts_in_a_process_that_was_not_asked_to_have_one() -> None:
    assert start_worker_if_asked() is None


def test_a_worker_in_a_server_starts_again_after_a_fall(monkeypatch, settings) -> None:
    settings.WORKER_IN_PROCESS, settings.JOB_RETRY_SECONDS = True, 0.001
    runs = []

    def run(self: Worker) -> int:
        runs.append(1)
        if len(runs) < 3:
            raise RuntimeError("fell")
        self.stop()
        return 0

    monkeypatch.setattr(Worker, "run", run)
    monkeypatch.setattr(Worker, "leave", lambda self: None)
    start_worker_if_asked().join(30)
    assert len(runs) == 3


def test_the_night_s_jobs_are_enqueued_once_a_day(settings) -> None:
    settings.NIGHTLY_JOBS = ["people.jobs.tidy"]
    assert [enqueue_nightly_jobs(NIGHT) for _ in range(3)] == [1, 0, 0]
    assert enqueue_nightly_jobs(NIGHT + timedelta(days=1)) == 1
    assert DBTaskResult.objects.count() == 2


def test_hourly_jobs_are_enqueued_once_an_hour(settings) -> None:
    settings.HOURLY_JOBS = ["people.jobs.tidy"]
    assert [enqueue_hourly_jobs(NIGHT) for _ in range(3)] == [1, 0, 0]
    assert enqueue_hourly_jobs(NIGHT + timedelta(hours=1)) == 1
    assert enqueue_hourly_jobs(NIGHT + timedelta(days=1)) == 1


def test_the_night_has_an_hour(settings) -> None:
    settings.NIGHTLY_JOBS = ["people.jobs.tidy"]
    assert enqueue_nightly_jobs(NIGHT.replace(hour=settings.NIGHTLY_HOUR - 1)) == 0


def test_a_slot_that_another_worker_takes_meanwhile_is_left_to_it(settings, monkeypatch) -> None:
    settings.NIGHTLY_JOBS = ["people.jobs.tidy"]
    enqueue_nightly_jobs(NIGHT)
    monkeypatch.setattr(NightlySlot.objects, "filter", lambda **_: NightlySlot.objects.none())
    assert enqueue_nightly_jobs(NIGHT) == 0
    assert DBTaskResult.objects.count() == 1


def test_each_of_the_night_s_jobs_can_be_enqueued_and_run() -> None:
    from config import settings as shipped

    jobs = [enqueue(import_string(path)) for path in [*shipped.NIGHTLY_JOBS, *shipped.HOURLY_JOBS]]
    work()
    assert {DBTaskResult.objects.get(pk=job.pk).status for job in jobs} == {"SUCCESSFUL"}


def test_tidying_drops_what_is_old_and_went_well() -> None:
    old = timezone.now() - timedelta(days=settings.JOB_KEPT_DAYS + 1)
    rows = {status: enqueue(some_jobs.write_entry, "seam") for status in ("SUCCESSFUL", "FAILED", "READY")}
    for status, row in rows.items():
        DBTaskResult.objects.filter(pk=row.pk).update(
            status=status, finished_at=old, run_after=timezone.now() + timedelta(days=9)
        )
    NightlySlot.objects.create(job="people.jobs.tidy", day=old.date())
    sign("long gone", seconds_ago=(settings.JOB_KEPT_DAYS + 1) * 86_400)
    import_string("people.jobs.tidy").call()
    assert set(DBTaskResult.objects.values_list("status", flat=True)) == {"FAILED", "READY"}
    assert not NightlySlot.objects.exists()
    assert not WorkerSign.objects.exists()


def test_the_command_says_how_jobs_stand(capsys) -> None:
    sign("living", seconds_ago=1)
    enqueue(some_jobs.write_entry, "seam")
    enqueue(some_jobs.write_entry.using(run_after=timezone.now() + timedelta(days=1)), "hem")
    taken_by("living")
    DBTaskResult.objects.filter(pk=enqueue(some_jobs.fail, "x").pk).update(status="FAILED")
    call_command("jobs", "--json")
    found = json.loads(capsys.readouterr().out)
    assert found.pop("oldest_waits_seconds") >= 0
    assert found == {"workers": 1, "waiting": 1, "for_later": 1, "running": 1, "failed": 1}
    call_command("jobs")
    said = capsys.readouterr().out
    assert said.startswith("1 workers; jobs: 1 waiting (the oldest for ")
    assert said.endswith("1 for later, 1 running, 1 failed.\n")


def test_failed_jobs_get_their_attempts_anew_when_asked(capsys) -> None:
    job = taken_by("gone", times=settings.JOB_ATTEMPTS)
    requeue_lost_jobs()
    call_command("jobs", "--retry-failed")
    work(job)
    assert (job.status, len(job.worker_ids)) == ("SUCCESSFUL", 1)


@pytest.mark.django_db(transaction=True)
def test_on_sqlite_what_was_deleted_leaves_the_log_written_ahead_too() -> None:
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL recycles its own log")
    person = make_person("Needle Inahaystack")
    Person.objects.filter(pk=person.pk).delete()
    import_string("people.jobs.tidy").call()
    assert b"Needle Inahaystack" not in bytes_of_sqlite()


def test_tidying_drops_what_has_run_out_in_the_cache(settings) -> None:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "tidied"}}
    call_command("createcachetable", verbosity=0)
    cache.set("stale", "an address that was counted", -60)
    cache.set("fresh", "kept", 600)
    tidy.call()
    with connection.cursor() as cursor:
        cursor.execute("SELECT cache_key FROM tidied")
        assert [key for (key,) in cursor.fetchall()] == [":1:fresh"]
        cursor.execute("DROP TABLE tidied")

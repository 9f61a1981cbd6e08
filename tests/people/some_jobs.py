"""Jobs for the tests of the worker. Some are run by a worker process, which imports them by name."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from django.db import transaction
from django_tasks import TaskContext, task

from people.models import AuditEntry

during: Callable[[], object] = lambda: None  # noqa: E731


def entry(verb: str) -> None:
    AuditEntry.objects.create(studio_ref="", actor_ref="", verb=verb, object_ref="")


@task()
def write_entry(verb: str) -> None:
    entry(verb)


@task(takes_context=True)
def write_attempt(context: TaskContext) -> None:
    entry(f"attempt {context.attempt}")


@task()
def write_then_fail(verb: str) -> None:
    with transaction.atomic():
        entry(verb)
        raise RuntimeError("thread broke")


@task()
def fail(why: str) -> None:
    raise RuntimeError(why)


@task()
def call_during() -> None:
    during()


@task()
def say_and_wait(said: str, awaited: str) -> None:
    """Say through one pipe that the job has begun, wait for the other, then write the effect."""
    with Path(said).open("w") as out:
        out.write("begun\n")
    with Path(awaited).open() as line:
        line.read()
    entry("done")

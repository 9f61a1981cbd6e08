"""Traces that a person or a tester leaves outside the tables of the apps: open sessions, arguments of jobs."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from itertools import islice

from django.contrib.sessions.models import Session
from django.db.models import Q
from django_tasks_db.models import DBTaskResult

RUNNING = "RUNNING"
AT_ONCE = 50


def forget_jobs(refs: Iterable[str]) -> int:
    """Delete the jobs, done or waiting, whose arguments name one of these refs; one that runs now goes by itself."""
    return sum(_forget_jobs(some) for some in batched(refs, AT_ONCE))


def _forget_jobs(refs: Iterable[str]) -> int:
    named = Q()
    for ref in refs:
        named |= Q(args_kwargs__icontains=ref)
    return DBTaskResult.objects.filter(named).exclude(status=RUNNING).delete()[0]


def batched(refs: Iterable[str], size: int) -> Iterator[tuple[str, ...]]:
    """The refs in groups: one question of a database has room for so many."""
    left = iter(refs)
    while some := tuple(islice(left, size)):
        yield some


def forget_sessions(key: str, values: Collection[object]) -> int:
    """End every session that holds one of these values under `key`, alone or in a list. Returns how many ended."""
    wanted = {str(value) for value in values}
    ended = 0
    for session in Session.objects.iterator():
        held = session.get_decoded().get(key)
        found = set(map(str, held)) if isinstance(held, list) else {str(held)}
        if held is not None and found & wanted:
            session.delete()
            ended += 1
    return ended

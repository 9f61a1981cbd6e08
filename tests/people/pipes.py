"""A job that says when it has begun and waits to be let go: what happens meanwhile needs no clock."""

from __future__ import annotations

import os
import select
from collections.abc import Iterator
from pathlib import Path

import pytest
from django_tasks_db.models import DBTaskResult

from tests.holds.servers import DEADLINE
from tests.people import some_jobs


class Pipes:
    """A job's two pipes: one on which it says that it has begun, one on which it waits."""

    def __init__(self, folder: Path) -> None:
        self.said, self.awaited = folder / "said", folder / "awaited"
        for pipe in (self.said, self.awaited):
            os.mkfifo(pipe)
        # Open for writing too: otherwise the pipe ends when the first job closes it.
        self.ear = os.open(self.said, os.O_RDWR | os.O_NONBLOCK)

    def enqueue(self) -> DBTaskResult:
        return DBTaskResult.objects.get(pk=some_jobs.say_and_wait.enqueue(str(self.said), str(self.awaited)).id)

    def wait_until_begun(self) -> None:
        ready, _, _ = select.select([self.ear], [], [], DEADLINE)
        assert ready, "the job did not begin"
        assert os.read(self.ear, 100) == b"begun\n"

    def let_go(self) -> None:
        self.awaited.write_text("go")


@pytest.fixture
def pipes(tmp_path) -> Iterator[Pipes]:
    made = Pipes(tmp_path)
    yield made
    os.close(made.ear)

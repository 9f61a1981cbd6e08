"""The worker reads a round after each change; pages show what it stored."""

from __future__ import annotations

import pytest
from django_tasks_db.models import DBTaskResult

from people.models import Studio
from testing_rounds import evidence as evidence_module
from testing_rounds.actions.readings import read_and_keep
from testing_rounds.actions.touch import touch_round
from testing_rounds.evidence import weigh
from testing_rounds.jobs import read_again
from testing_rounds.models import Round, StoredReading
from testing_rounds.reading import USUAL_METHOD
from tests.testing_rounds.imported import imported
from tests.testing_rounds.rounds import a_round, answers_by_size, example

pytestmark = pytest.mark.django_db


@pytest.fixture
def found() -> Round:
    return imported(Studio.objects.create(name="Saltmarsh Row"), example())


def test_a_change_asks_the_worker_to_read_again_and_it_stores_each_stage_once(found):
    DBTaskResult.objects.all().delete()
    touch_round(found.pk)
    (job,) = DBTaskResult.objects.filter(task_path=read_again.module_path)
    assert job.args_kwargs["args"] == [found.pk]
    read_again.func(found.pk)
    read_again.func(found.pk)
    stored = StoredReading.objects.get()
    assert (stored.revision, stored.method) == (Round.objects.get(pk=found.pk).revision, USUAL_METHOD)
    assert list(stored.readings) == ["toile", "finished"]


def test_a_page_shows_what_was_stored_and_reads_nothing(found, monkeypatch):
    read = weigh(found).readings
    read_and_keep(found)
    monkeypatch.setattr(evidence_module.reading, "read", None)
    assert weigh(Round.objects.get(pk=found.pk)).readings == read


def test_a_stored_reading_is_not_shown_after_a_change(found):
    read_and_keep(found)
    StoredReading.objects.update(readings={"toile": []})
    touch_round(found.pk)
    assert weigh(Round.objects.get(pk=found.pk)).readings.keys() == {"waist", "hip", "length"}


def test_a_round_without_reports_stores_nothing():
    empty = imported(Studio.objects.create(name="Saltmarsh Row"), a_round(answers_by_size("bust", {})))
    touch_round(empty.pk)
    read_and_keep(empty)
    assert not StoredReading.objects.exists()
    assert not DBTaskResult.objects.filter(task_path=read_again.module_path).exists()


def test_a_round_that_is_gone_is_no_fault():
    read_again.func(0)

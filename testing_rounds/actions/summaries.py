"""Fit-issue summaries: asked for, stored, and gone with the permissions that they rest on."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from functools import partial

from django.core.files.storage import default_storage
from django.db import transaction
from django.utils import timezone
from django.utils.translation import get_language

from people import audit
from people.models import Person
from testing_rounds.models import PhotoState, Round, Summary

FOLDER = "summaries"
# A worker takes seconds; after this a document that still waits may be asked for again.
WAITED_LONG = timedelta(minutes=2)


def waited_long(summary: Summary) -> bool:
    """Whether the worker that should make it seems to be gone."""
    return summary.state == PhotoState.WAITING and timezone.now() - summary.made > WAITED_LONG


@transaction.atomic
def ask_for_summary(*, found: Round, paper: str, by: Person, soon: bool = False) -> Summary:
    """The summary of the round as it stands now, in the reader's language: one that is there, or that a worker makes.

    One that failed, or waits too long, is asked for again. `soon`: the caller makes it at once, and the worker
    looks only a minute later whether that was done.
    """
    from testing_rounds.jobs import make_summary

    held = Round.objects.select_for_update(of=["self"]).get(pk=found.pk)
    summary, made = Summary.objects.get_or_create(
        round=held,
        revision=held.revision,
        paper=paper,
        language=get_language() or "",
        defaults={"asked_by": by},
    )
    if made or summary.state == PhotoState.FAILED or waited_long(summary):
        summary.state, summary.done, summary.made = PhotoState.WAITING, 0, timezone.now()
        summary.save(update_fields=["state", "done", "made"])
        after = timezone.now() + timedelta(minutes=1) if soon else None
        make_summary.using(run_after=after).enqueue(summary.ref)
        audit.record(studio=found.version.pattern.studio, by=by, verb="summary_asked", thing=summary)
    return summary


@transaction.atomic
def settle(*, summary: Summary, stored: str) -> None:
    """The file is there. Written twice the first one stands; older ones on this paper go.

    Where the summary itself is gone, for a tester took a permission back meanwhile, the file goes with it.
    """
    unwritten = Summary.objects.filter(pk=summary.pk, stored="")
    if not unwritten.update(state=PhotoState.READY, stored=stored):
        _delete_files([stored])
        return
    older = Summary.objects.filter(
        round=summary.round_id, paper=summary.paper, language=summary.language, revision__lt=summary.revision
    )
    _delete(older.exclude(state=PhotoState.WAITING))


@transaction.atomic
def forget_summaries(*, round_id: int) -> None:
    """A permission was taken back or a photo taken out: no stored summary of the round may show it any longer."""
    _delete(Summary.objects.filter(round=round_id))


def sweep_summaries(before: datetime) -> list[str]:
    """Remove stored files that no summary names and that are older than `before`. Returns their names."""
    named = set(Summary.objects.exclude(stored="").values_list("stored", flat=True))
    lost = [
        name
        for studio in _listed(FOLDER)[0]
        for file in _listed(f"{FOLDER}/{studio}")[1]
        if (name := f"{FOLDER}/{studio}/{file}") not in named and default_storage.get_modified_time(name) < before
    ]
    for name in lost:
        default_storage.delete(name)
    return lost


def _listed(folder: str) -> tuple[list[str], list[str]]:
    try:
        return default_storage.listdir(folder)
    except FileNotFoundError:
        return [], []


def _delete(summaries: Iterable[Summary]) -> None:
    # A row's file goes with it, whichever way the row goes.
    Summary.objects.filter(pk__in=[one.pk for one in summaries]).delete()


def _delete_files(names: Iterable[str]) -> None:
    for name in names:
        transaction.on_commit(partial(default_storage.delete, name), robust=True)

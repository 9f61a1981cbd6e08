"""What testers noted at the steps of a version, for its wording page: all its rounds, the reports that were sent."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.urls import reverse

from releases.models import Version
from releases.registry import StepNote as Noted
from testing_rounds.models import StepNote


def version_step_notes(version: Version) -> Mapping[int, Sequence[Noted]]:
    """{number of the step: its notes}, in one query. Notes that name no step stand on the round's own page."""
    notes = StepNote.objects.filter(
        report__place__round__version=version, report__submitted_at__isnull=False, step__isnull=False
    ).select_related("report__place")
    found: dict[int, list[Noted]] = {}
    for note in notes:
        if note.step is not None:
            found.setdefault(note.step, []).append(_noted(note))
    return found


def _noted(note: StepNote) -> Noted:
    report = note.report
    kind = str(note.get_kind_display()) if note.kind else ""
    return Noted(str(report.place), report.size, kind, note.text, reverse("report", args=[report.ref]) + "#steps")

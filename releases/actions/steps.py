from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from people.audit import record
from people.models import Person
from releases.actions.refused import draft_only
from releases.actions.versions import PINNED
from releases.models import Step, Version
from releases.steps_text import ReadStep


@transaction.atomic
def write_steps(*, version: Version, steps: Iterable[ReadStep], by: Person) -> None:
    """Replace the steps of a draft. Raises Refused once it is tested: notes of testers name these numbers."""
    held = draft_only(version, PINNED)
    held.steps.all().delete()
    made = Step.objects.bulk_create(Step(version=held, number=step.number, text=step.text) for step in steps)
    told = [[step.number, step.text] for step in made]
    record(studio=version.pattern.studio, by=by, verb="steps_written", thing=version, content=told)

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from django.db import transaction
from django.utils.translation import gettext as _

from people.audit import record
from people.models import Person
from releases.actions.booklet import keep_with_steps
from releases.actions.refused import draft_only
from releases.actions.stale import done_anew, note_change
from releases.actions.versions import PINNED
from releases.models import Step, Version
from releases.stale import Change, Touched
from releases.steps_text import ReadStep


@transaction.atomic
def write_steps(*, version: Version, steps: Iterable[ReadStep], by: Person) -> None:
    """Replace the steps of a draft. Raises Refused once it is tested: notes of testers name these numbers."""
    held = draft_only(version, PINNED)
    before = dict(held.steps.values_list("number", "text"))
    held.steps.all().delete()
    made = Step.objects.bulk_create(Step(version=held, number=step.number, text=step.text) for step in steps)
    keep_with_steps(held, before, {step.number: step.text for step in made})
    told = [[step.number, step.text] for step in made]
    record(studio=version.pattern.studio, by=by, verb="steps_written", thing=version, content=told)
    done_anew(version=held, deed="steps", by=by)
    note_change(version=held, change=Change("steps", tuple(_touched(before, made))), by=by)


def _touched(before: Mapping[int, str], made: Iterable[Step]) -> Iterator[Touched]:
    """The steps that read otherwise, came or went; first steps touch nothing."""
    now = {step.number: step.text for step in made}
    for number in sorted({*before, *now}) if before else ():
        if before.get(number) != now.get(number):
            yield Touched(str(number), _("step %(number)s") % {"number": number})

"""What is done about a finding of the wording check: take its proposal, keep it with a reason, hear it again."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from people.audit import record
from people.models import Person
from releases.actions.refused import Refused
from releases.actions.steps import write_steps
from releases.models import SilencedWording, Version
from releases.steps_text import ReadStep
from releases.wording_page import WordingLine, taken

GONE = _("These words are not there any more. Look at the page as it is now.")


@transaction.atomic
def take_wording(*, version: Version, line: WordingLine, by: Person) -> None:
    """Write the proposed words into the step. Raises Refused where they are gone, or once the version is tested."""
    steps = [ReadStep(step.number, step.text) for step in version.steps.select_for_update()]
    text = next((step.text for step in steps if step.number == line.found.step), None)
    changed = None if text is None else taken(text, line.found, line.line)
    if changed is None:
        raise Refused(GONE)
    write_steps(
        version=version,
        steps=[ReadStep(step.number, changed if step.number == line.found.step else step.text) for step in steps],
        by=by,
    )
    record(
        studio=version.pattern.studio,
        by=by,
        verb="wording_taken",
        thing=version,
        content=[line.found.step, line.found.text, line.found.proposed],
    )


@transaction.atomic
def silence_wording(*, version: Version, line: WordingLine, reason: str, by: Person) -> SilencedWording:
    """Keep the words as they are, with the reason. Silencing them twice keeps the first."""
    found = line.found
    silenced, made = SilencedWording.objects.get_or_create(
        version=version,
        mark=line.key,
        lifted=None,
        defaults={"kind": found.kind, "step": found.step, "text": found.text, "reason": reason, "by": by},
    )
    if made:
        record(
            studio=version.pattern.studio, by=by, verb="wording_silenced", thing=silenced, content=[line.key, reason]
        )
    return silenced


@transaction.atomic
def hear_wording(*, silenced: SilencedWording, by: Person) -> None:
    """Let it speak again; the reason stays on record."""
    changed = SilencedWording.objects.filter(pk=silenced.pk, lifted=None).update(lifted=timezone.now())
    if changed:
        record(studio=silenced.version.pattern.studio, by=by, verb="wording_heard", thing=silenced)

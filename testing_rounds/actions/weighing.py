"""A designer's word on an answer: set aside, or put back, always with a reason."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from people import audit
from people.models import Person
from testing_rounds.actions.touch import touch_round
from testing_rounds.models import FitReport, WeighedByHand, Weighing


@transaction.atomic
def weigh_by_hand(
    *, report: FitReport, zones: Iterable[str], what: str, reason: str, by: Person
) -> list[WeighedByHand]:
    """Set the answers on these zones aside, or put them back; the newest word on a zone holds.

    A zone of which the same was said last stays as it is: a double tap writes one word. Returns what was written.
    """
    FitReport.objects.select_for_update(of=["self"]).get(pk=report.pk)
    said = {word.zone: word.what for word in report.weighings.all()}
    words = [
        WeighedByHand.objects.create(report=report, zone=zone, what=what, reason=reason, by=by)
        for zone in zones
        if said.get(zone) != what
    ]
    if words:
        found = report.place.round
        touch_round(found.pk)
        audit.record(
            studio=found.version.pattern.studio,
            by=by,
            verb="answers_put_back" if what == Weighing.BACK else "answers_set_aside",
            thing=report,
            content=[reason, *(word.zone for word in words)],
        )
    return words

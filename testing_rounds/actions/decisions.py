"""What the studio makes of a reading: a decision in its words."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction

from people import audit
from people.models import Person
from releases.models import Version
from testing_rounds.actions.readings import keep_readings
from testing_rounds.actions.touch import touch_round
from testing_rounds.evidence import Evidence
from testing_rounds.models import Decision, DecisionKind, FitIssue, IssueState, Round


@transaction.atomic
def decide(
    *, evidence: Evidence, zone: str, direction: int, kind: str, words: str, fixed_in: Version | None, by: Person
) -> FitIssue:
    """Record a decision on one side of a zone; earlier ones stay in its history.

    The readings that it rests on are stored. The same decision twice, as by a double tap, is one.
    """
    found = evidence.found
    Round.objects.select_for_update(of=["self"]).get(pk=found.pk)
    issue, _made = FitIssue.objects.get_or_create(round=found, zone=zone, direction=direction)
    last = issue.decisions.last()
    if last and (last.kind, last.words, issue.fixed_in_id) == (kind, words, fixed_in.pk if fixed_in else None):
        return issue
    keep_readings(evidence)
    issue.sizes = list(touched_sizes(evidence, zone, direction))
    issue.fixed_in = fixed_in
    issue.state = _state(kind, fixed_in)
    issue.save(update_fields=["sizes", "fixed_in", "state"])
    Decision.objects.create(issue=issue, kind=kind, words=words, by=by)
    touch_round(found.pk)
    audit.record(
        studio=found.version.pattern.studio,
        by=by,
        verb="issue_decided",
        thing=issue,
        content=[kind, words, issue.state],
    )
    return issue


def touched_sizes(evidence: Evidence, zone: str, direction: int) -> Sequence[str]:
    """The sizes that a decision is about: those of the reading, else those that complain that way."""
    reading = evidence.readings[zone]
    if reading.level == "repeated" and reading.direction == direction:
        return reading.sizes
    return [cell.size for cell in evidence.counts.row(zone) if cell.complaints(direction)]


def _state(kind: str, fixed_in: Version | None) -> str:
    if kind == DecisionKind.LEAVE:
        return IssueState.LEFT
    return IssueState.FIXED if fixed_in else IssueState.DECIDED

"""What the studio makes of a reading: a decision in its words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction

from people import audit
from people.models import Person
from releases.models import Version
from testing_rounds.actions.readings import keep_readings
from testing_rounds.actions.touch import touch_round
from testing_rounds.evidence import Evidence
from testing_rounds.models import Decision, DecisionKind, FitIssue, IssueAbout, IssueState, Round


@transaction.atomic
def decide(
    *,
    evidence: Evidence,
    zone: str,
    direction: int,
    kind: str,
    words: str,
    fixed_in: Version | None,
    by: Person,
    changes: Mapping[str, Any] | None = None,
) -> FitIssue:
    """Record a decision on one side of a zone; earlier ones stay in its history.

    `changes` are the numbers that were accepted, as Decision keeps them. The readings that it rests on are stored. The
    same decision twice, as by a double tap, is one.
    """
    found = evidence.found
    sizes = touched_sizes(evidence, zone, direction)
    issue = _issue(found, IssueAbout.ZONE, zone, direction)
    return _record(issue, sizes, kind, words, fixed_in, changes or {}, by, evidence)


@transaction.atomic
def decide_beside(
    *,
    found: Round,
    about: str,
    key: str,
    direction: int,
    sizes: Sequence[str],
    kind: str,
    words: str,
    fixed_in: Version | None,
    by: Person,
    changes: Mapping[str, Any] | None = None,
) -> FitIssue:
    """Record a decision on a step of the instructions or on a file, as decide does on a zone."""
    issue = _issue(found, about, key, direction)
    return _record(issue, sizes, kind, words, fixed_in, changes or {}, by, None)


def _issue(found: Round, about: str, key: str, direction: int) -> FitIssue:
    """The issue, with its round held until the transaction ends."""
    Round.objects.select_for_update(of=["self"]).get(pk=found.pk)
    issue, _made = FitIssue.objects.get_or_create(round=found, about=about, zone=key, direction=direction)
    issue.round = found
    return issue


def _record(
    issue: FitIssue,
    sizes: Sequence[str],
    kind: str,
    words: str,
    fixed_in: Version | None,
    changes: Mapping[str, Any],
    by: Person,
    evidence: Evidence | None,
) -> FitIssue:
    last, carries = issue.decisions.last(), fixed_in.pk if fixed_in else None
    if last and (last.kind, last.words, last.changes, issue.fixed_in_id) == (kind, words, changes, carries):
        return issue
    if evidence:
        keep_readings(evidence)
    issue.sizes = list(sizes)
    issue.fixed_in = fixed_in
    issue.state = _state(kind, fixed_in)
    issue.save(update_fields=["sizes", "fixed_in", "state"])
    Decision.objects.create(issue=issue, kind=kind, words=words, changes=dict(changes), by=by)
    touch_round(issue.round_id)
    audit.record(
        studio=issue.round.version.pattern.studio,
        by=by,
        verb="issue_decided",
        thing=issue,
        content=[kind, words, issue.state, changes],
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

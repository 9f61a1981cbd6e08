"""Every change that a reading can see counts the round up; live pages ask for that number."""

from __future__ import annotations

from django.db.models import F

from testing_rounds.models import FitIssue, IssueAbout, IssueState, Round


def touch_round(round_id: int) -> None:
    """Count the round's revision up by one; the fixes that it sews are judged again. Call in a transaction."""
    Round.objects.filter(pk=round_id).update(revision=F("revision") + 1)
    waiting = FitIssue.objects.filter(
        fixed_in__rounds=round_id, about=IssueAbout.ZONE, state__in=[IssueState.FIXED, IssueState.CONFIRMED]
    )
    if waiting.exists():
        from testing_rounds.jobs import judge_fixes

        judge_fixes.enqueue(round_id)

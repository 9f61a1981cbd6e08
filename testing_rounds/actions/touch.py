"""Every change that a reading can see counts the round up; live pages ask for that number."""

from __future__ import annotations

from django.db.models import F

from testing_rounds.models import FitIssue, FitReport, IssueState, Round


def touch_round(round_id: int) -> None:
    """Count the round's revision up by one; it is read again, and the fixes that it sews are judged again. Call in a
    transaction."""
    from testing_rounds.jobs import judge_fixes, read_again

    Round.objects.filter(pk=round_id).update(revision=F("revision") + 1)
    if FitReport.objects.filter(place__round=round_id, submitted_at__isnull=False).exists():
        read_again.enqueue(round_id)
    waiting = FitIssue.objects.filter(fixed_in__rounds=round_id, state__in=[IssueState.FIXED, IssueState.CONFIRMED])
    if waiting.exists():
        judge_fixes.enqueue(round_id)

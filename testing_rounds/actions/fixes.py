"""A fix is confirmed by counted reports alone, and no longer confirmed once they say otherwise."""

from __future__ import annotations

from django.db import transaction

from people import audit
from testing_rounds.beside_fixes import judge_beside
from testing_rounds.evidence import Evidence, weigh
from testing_rounds.fix_stories import judge
from testing_rounds.fixed_or_not import FixVerdict
from testing_rounds.models import FitIssue, IssueAbout, IssueState, Round

WAITING = (IssueState.FIXED, IssueState.CONFIRMED)


def fixes_in(found: Round) -> list[FitIssue]:
    """The issues of earlier rounds that the version of this round fixes, and that reports can confirm."""
    asked = {entry["key"] for entry in found.zones}
    issues = FitIssue.objects.filter(fixed_in=found.version_id, state__in=WAITING).exclude(round=found)
    return [one for one in issues.order_by("pk") if one.about != IssueAbout.ZONE or one.zone in asked]


@transaction.atomic
def recheck_fixes(*, found: Round) -> list[FitIssue]:
    """Judge every fix that this round sews, and write the states that change: confirmed, or no longer so.

    The app itself does it, by the evidence; returns the issues whose state changed. Run twice it changes nothing.
    """
    issues = fixes_in(found)
    if not issues:
        return []
    evidence = weigh(found)
    return [one for issue in issues if (one := _judged(issue, evidence))]


def _verdict(issue: FitIssue, evidence: Evidence) -> FixVerdict:
    return judge(issue, evidence) if issue.about == IssueAbout.ZONE else judge_beside(issue, evidence.found)


def _judged(issue: FitIssue, evidence: Evidence) -> FitIssue | None:
    """The issue where its state changed."""
    held = FitIssue.objects.select_for_update().get(pk=issue.pk)
    if held.state not in WAITING:
        return None
    verdict = _verdict(held, evidence)
    state = IssueState.CONFIRMED if verdict.confirmed else IssueState.FIXED
    if held.state == state:
        return None
    held.state = state
    held.save(update_fields=["state"])
    audit.record(
        studio=evidence.found.version.pattern.studio,
        by=None,
        verb="fix_confirmed" if verdict.confirmed else "fix_repeats" if verdict.repeats else "fix_unconfirmed",
        thing=held,
        content=[evidence.found.ref, evidence.found.revision, verdict.near, verdict.counted],
    )
    return held

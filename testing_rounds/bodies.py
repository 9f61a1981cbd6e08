"""Whether the studio's people still see testers' measurements: as long as the round needs them, and no longer."""

from __future__ import annotations

from dataclasses import replace

from testing_rounds.models import FitIssue, IssueState, Round, RoundState
from testing_rounds.round_data import RoundData

# What still waits for a decision, or for the proof that it helped: both are judged by the bodies.
UNSETTLED = (IssueState.OPEN, IssueState.DECIDED, IssueState.FIXED)


def bodies_are_shown(found: Round) -> bool:
    """While the round is open, and then until each of its fit issues is confirmed or left as is.

    After that they are hidden, and the readings alone use them, until the day on which they are erased. A round of
    which nobody left an address came as a file: its bodies are nobody's, and stay to be read.
    """
    if found.state != RoundState.CLOSED:
        return True
    if FitIssue.objects.filter(round=found, state__in=UNSETTLED).exists():
        return True
    return not found.places.exclude(email="").exists()


def without_bodies(data: RoundData) -> RoundData:
    """The same round with every measurement of a body left out."""
    return replace(data, reports=tuple(replace(report, body={}) for report in data.reports))

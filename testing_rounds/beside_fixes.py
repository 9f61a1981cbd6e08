"""Whether new words of a step, or a new file, did it: the reports of the version that carries them."""

from __future__ import annotations

from dataclasses import dataclass

from testing_rounds.decided import address_of, title_of
from testing_rounds.fix_stories import sewn_round, tester_of
from testing_rounds.fixed_or_not import Comparison, FixVerdict, Word, compare, judge_file, judge_step
from testing_rounds.models import FitIssue, FitReport, IssueAbout, IssueState, Round, StepNote
from testing_rounds.round_findings import prints_of, step_weights, true_prints
from testing_rounds.told import Told


@dataclass(frozen=True)
class BesideStory(Told):
    """One issue about a step or a file, and what the reports since say of its fix."""

    issue: FitIssue
    title: str
    before_url: str
    after_url: str
    after_version: str
    comparisons: tuple[Comparison, ...]
    verdict: FixVerdict
    linked: tuple[object, ...] = ()


def judge_beside(issue: FitIssue, after: Round) -> FixVerdict:
    """Whether a round confirms the fix of a step or a file."""
    if issue.about == IssueAbout.FILE:
        faulty = any(one.file == issue.zone for one in prints_of(after).faults)
        return judge_file(true_prints(after, issue.zone), faulty=faulty)
    weight = step_weights(after).get(int(issue.zone))
    words = _words(after, int(issue.zone))
    repeated = weight is not None and weight.level == "repeated"
    return judge_step(sum(word.complains for word in words), len(words), repeated=repeated)


def _words(found: Round, step: int) -> list[Word]:
    """Everybody whose report is in, with whether they noted something at the step."""
    noted = set(StepNote.objects.filter(report__place__round=found, step=step).values_list("report__place", flat=True))
    sent = FitReport.objects.filter(place__round=found, submitted_at__isnull=False).select_related("place")
    places = {report.place_id: report.place for report in sent.order_by("id")}
    return [Word(tester_of(place), pk in noted) for pk, place in places.items()]


def beside_stories(found: Round, about: str, key: str) -> list[BesideStory]:
    """The stories that this round is part of: as the one that found it, or as the one that sewed the fix."""
    issues = FitIssue.objects.filter(
        round__version__pattern=found.version.pattern_id,
        about=about,
        zone=key,
        state__in=[IssueState.FIXED, IssueState.CONFIRMED],
        fixed_in__isnull=False,
    ).select_related("round__version", "fixed_in")
    stories = []
    for issue in issues.order_by("opened"):
        if issue.fixed_in_id == found.version_id and issue.round_id != found.pk:
            stories.append(_story(issue, issue.round, found))
        elif issue.round_id == found.pk and (after := sewn_round(issue)):
            stories.append(_story(issue, found, after))
    return stories


def _story(issue: FitIssue, before: Round, after: Round) -> BesideStory:
    step = int(issue.zone) if issue.about == IssueAbout.STEP else None
    return BesideStory(
        issue=issue,
        title=title_of(issue, {}, before.version.sizes),
        before_url=address_of(issue, before.ref),
        after_url=address_of(issue, after.ref),
        after_version=after.version.number,
        comparisons=compare(_words(before, step), _words(after, step)) if step is not None else (),
        verdict=judge_beside(issue, after),
    )

"""Was it fixed? The issues of a pattern's zone in one version against the reports of the version that carries the fix.

The adapter of fixed_or_not: it knows the rounds; the judging is pure.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _

from testing_rounds.counts import Cell, is_repeated
from testing_rounds.evidence import Evidence, weigh
from testing_rounds.evidence_words import pole, size_span, zone_name, zone_title
from testing_rounds.fixed_or_not import Comparison, FixVerdict, LinkedZone, Word, compare, judge_fix
from testing_rounds.models import FitIssue, IssueAbout, IssueState, Place, Round
from testing_rounds.round_data import Zone
from testing_rounds.set_aside import HAIR, half_step
from testing_rounds.told import Told
from testing_rounds.zones import linked

# A body within this of the chart is near it, however small the step: the tape is no finer.
NEAR_CM = 1.0


@dataclass(frozen=True)
class LinkedBeforeAfter:
    """A zone that goes with it: what the touched sizes said there before the change, and what they say since."""

    name: str
    before: str
    after: str


@dataclass(frozen=True)
class FixStory(Told):
    """One issue and its fix: before, after, whether it is confirmed, and what the exact tests say."""

    issue: FitIssue
    title: str
    before_url: str
    after_url: str
    after_version: str
    comparisons: tuple[Comparison, ...]
    verdict: FixVerdict
    linked: tuple[LinkedBeforeAfter, ...]


def fix_stories(evidence: Evidence, zone: str) -> list[FixStory]:
    """The stories of a zone that this round is part of: as the one that found it, or as the one that sewed the fix."""
    found = evidence.found
    issues = FitIssue.objects.filter(
        round__version__pattern=found.version.pattern_id,
        about=IssueAbout.ZONE,
        zone=zone,
        state__in=[IssueState.FIXED, IssueState.CONFIRMED],
        fixed_in__isnull=False,
    )
    stories = []
    for issue in issues.select_related("round__version__pattern", "fixed_in").order_by("opened"):
        if issue.fixed_in_id == found.version_id and issue.round_id != found.pk:
            stories.append(fix_story(issue, weigh(_whole(issue.round), kept=True), evidence))
        elif issue.round_id == found.pk and (after := sewn_round(issue)):
            stories.append(fix_story(issue, evidence, weigh(after, kept=True)))
    return stories


def sewn_round(issue: FitIssue) -> Round | None:
    """The newest round of the version that carries the fix, with a report in it; it asks the zone, where it is one."""
    rounds = Round.objects.filter(version=issue.fixed_in, places__reports__submitted_at__isnull=False).exclude(
        pk=issue.round_id
    )
    found = _rounds(rounds.distinct())
    if issue.about == IssueAbout.ZONE:
        found = [one for one in found if issue.zone in {entry["key"] for entry in one.zones}]
    return found[0] if found else None


def _rounds(rounds: QuerySet[Round]) -> list[Round]:
    """With all that evidence needs, the newest first."""
    return list(
        rounds.select_related(
            "version__pattern__studio", "version__body_chart__chart", "version__finished_chart__chart"
        ).order_by("-created", "-id")
    )


def _whole(found: Round) -> Round:
    return _rounds(Round.objects.filter(pk=found.pk))[0]


def fix_story(issue: FitIssue, before: Evidence, after: Evidence) -> FixStory:
    """Compare both rounds at the issue's zone, in the sizes that it touches."""
    zone, sizes = before.zones[issue.zone], touched(issue, after)
    then = words_of(after, issue.zone, sizes, issue.direction)
    first = words_of(before, issue.zone, touched(issue, before), issue.direction)
    title = _("%(zone)s, %(word)s in %(sizes)s") % {
        "zone": zone_title(zone),
        "word": pole(zone, issue.direction),
        "sizes": size_span(touched(issue, before), before.data.sizes),
    }
    return FixStory(
        issue=issue,
        title=title,
        before_url=reverse("round_zone", args=[before.found.ref, issue.zone]),
        after_url=reverse("round_zone", args=[after.found.ref, issue.zone]),
        after_version=after.found.version.number,
        comparisons=compare(first, then),
        verdict=judge(issue, after),
        linked=tuple(_linked(issue, before, after)),
    )


def judge(issue: FitIssue, after: Evidence) -> FixVerdict:
    """Whether the round after confirms the fix."""
    sizes = touched(issue, after)
    words = words_of(after, issue.zone, sizes, issue.direction)
    return judge_fix(words, repeated=_repeats(issue, after, sizes), linked=_linked_zones(issue.zone, after, sizes))


def touched(issue: FitIssue, evidence: Evidence) -> tuple[str, ...]:
    """The issue's sizes, in the order of the round; all of them where it names none."""
    return tuple(size for size in evidence.data.sizes if not issue.sizes or size in issue.sizes)


def _repeats(issue: FitIssue, after: Evidence, sizes: Sequence[str]) -> bool:
    reading = after.readings[issue.zone]
    read = reading.level == "repeated" and bool(set(reading.sizes) & set(sizes))
    return read or any(_loud(after.counts.cells[issue.zone, size]) for size in sizes)


def _loud(cell: Cell) -> bool:
    return cell.repeated(-1) or cell.repeated(1)


def _linked_zones(key: str, after: Evidence, sizes: Sequence[str]) -> list[LinkedZone]:
    return [_linked_zone(after, other, sizes) for other in linked(key) if other in after.zones]


def _linked_zone(after: Evidence, key: str, sizes: Sequence[str]) -> LinkedZone:
    cells = [after.counts.cells[key, size] for size in sizes]
    low, high = sum(cell.low for cell in cells), sum(cell.high for cell in cells)
    counted = sum(cell.counted for cell in cells)
    repeated = any(_loud(cell) for cell in cells) or is_repeated(max(low, high), counted)
    return LinkedZone(zone_name(after.zones[key]), counted, max(low, high), repeated)


def _linked(issue: FitIssue, before: Evidence, after: Evidence) -> Iterable[LinkedBeforeAfter]:
    for other in linked(issue.zone):
        if other in before.zones and other in after.zones:
            told = [_said(_linked_zone(round_, other, touched(issue, round_))) for round_ in (before, after)]
            yield LinkedBeforeAfter(zone_title(before.zones[other]), *told)


def _said(zone: LinkedZone) -> str:
    places = {"k": zone.complaints, "n": zone.counted}
    if zone.repeated:
        return _("%(k)s of %(n)s complain: repeated") % places
    return _("%(k)s of %(n)s complain") % places if zone.counted else _("no answer counts")


def words_of(evidence: Evidence, key: str, sizes: Sequence[str], direction: int) -> list[Word]:
    """The counted answers on a zone in these sizes. The address tells a tester, and the alias where there is none."""
    zone = evidence.zones[key]
    return [
        Word(
            tester_of(evidence.row(answer).place),
            answer.fit * direction > 0,
            near_chart(evidence, zone, answer.report, answer.size),
        )
        for answer in evidence.answers(key)
        if answer.counted and answer.size in sizes
    ]


def tester_of(place: Place) -> str:
    """Who it is, from round to round."""
    return place.email.lower() or place.alias


def near_chart(evidence: Evidence, zone: Zone, report: int, size: str) -> bool | None:
    """Whether a body lies near the chart at the zone's measurement: within half a step, and within 1 cm at least.

    `report` is its place in the round's reports. None where the zone goes by no measurement; a body that nobody
    measured is not near.
    """
    point = zone.body_point
    row = evidence.data.body_chart.get(point or "", ())
    if point is None or not row:
        return None
    at = evidence.data.sizes.index(size)
    own, drafted = evidence.data.reports[report].body.get(point), row[at]
    if own is None or drafted is None:
        return False
    return abs(own - drafted) <= max(half_step(row, at) or 0.0, NEAR_CM) + HAIR

"""What rounds know of a size before it is signed: its reports, the issues that touch it, and a digest of both."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from people.audit import digest
from releases.models import Version
from releases.registry import Condition
from testing_rounds.counts import LEAST_ANSWERS
from testing_rounds.decided import address_of, title_of
from testing_rounds.evidence import Evidence, weigh
from testing_rounds.evidence_drawn import panel_sizes
from testing_rounds.evidence_filter import Links
from testing_rounds.evidence_words import reading_title, zone_title
from testing_rounds.models import FitIssue, FitReport, IssueAbout, IssueState, Round
from testing_rounds.round_store import zone as as_zone

# What nobody needs to look at any more before a size is signed.
SETTLED = frozenset({IssueState.CONFIRMED, IssueState.LEFT})


def evidence_round(version: Version) -> Round | None:
    """The round that speaks for a version: its newest that has reports, else that of the newest version before it."""
    sent = FitReport.objects.filter(place__round=OuterRef("pk"), submitted_at__isnull=False)
    rounds = Round.objects.filter(Exists(sent), version__pattern=version.pattern_id)
    rounds = rounds.select_related("version__pattern__studio", "version__body_chart", "version__finished_chart")
    own = rounds.filter(version=version).order_by("-created", "-id").first()
    earlier = rounds.filter(version__created__lte=version.created).order_by("-version__created", "-created", "-id")
    return own or earlier.first()


def evidence_of(version: Version) -> Evidence | None:
    """The evidence that speaks for a version, or None. The same version asks for it several times on one page."""
    found = evidence_round(version)
    if found is None:
        return None
    kept: tuple[tuple[int, int], Evidence] | None = getattr(version, "_evidence_kept", None)
    mark = (found.pk, found.revision)
    if kept is None or kept[0] != mark:
        kept = (mark, weigh(found))
        version._evidence_kept = kept  # type: ignore[attr-defined]
    return kept[1]


def counted_by_size(version: Version) -> Mapping[str, Condition]:
    """Two reports of the size that count are the least that can repeat."""
    evidence = evidence_of(version)
    if evidence is None:
        return {size: Condition(False, _("no round yet")) for size in version.sizes}
    counted = Counter({one.label: one.counted for one in panel_sizes(evidence)})
    links, sizes = Links.of(evidence), list(evidence.data.sizes)
    return {
        size: Condition(
            counted[size] >= LEAST_ANSWERS,
            ngettext("%(n)s counted", "%(n)s counted", counted[size]) % {"n": counted[size]},
            links.size(sizes.index(size)) if size in sizes else links.overview(),
        )
        for size in version.sizes
    }


@dataclass(frozen=True)
class OpenIssue:
    """Something that still wants a decision, a change, or reports that confirm it; `sizes` that it touches."""

    title: str
    standing: str
    sizes: tuple[str, ...]
    url: str


def open_issues(version: Version) -> list[OpenIssue]:
    """The issues of all rounds up to this version that are not settled, and readings that nobody has decided on."""
    known = list(_issues(version))
    found = [_open(issue, version) for issue in known if not _is_settled(issue)]
    evidence = evidence_of(version)
    if evidence is not None:
        decided = {(issue.zone, issue.direction) for issue in known if issue.round_id == evidence.found.pk}
        found += _undecided(evidence, decided)
    return found


def _issues(version: Version) -> Iterable[FitIssue]:
    return (
        FitIssue.objects.filter(
            round__version__pattern=version.pattern_id, round__version__created__lte=version.created
        )
        .select_related("round__version", "fixed_in")
        .order_by("opened", "pk")
    )


def _is_settled(issue: FitIssue) -> bool:
    """A changed step or file is seen on the page itself; a change of the fit is settled by reports alone."""
    return issue.state in SETTLED or (issue.state == IssueState.FIXED and issue.about != IssueAbout.ZONE)


def _open(issue: FitIssue, version: Version) -> OpenIssue:
    zones = {entry["key"]: as_zone(entry) for entry in issue.round.zones}
    sizes = tuple(size for size in version.sizes if size in issue.sizes) or tuple(version.sizes)
    if issue.state == IssueState.FIXED and issue.fixed_in:
        standing = _("fixed in %(version)s, not confirmed by reports yet") % {"version": issue.fixed_in.number}
    elif issue.state == IssueState.DECIDED:
        standing = _("decided, and in no version yet")
    else:
        standing = _("open: nobody has decided")
    title = title_of(issue, zones, issue.round.version.sizes)
    return OpenIssue(title, standing, sizes, address_of(issue, issue.round.ref))


def _undecided(evidence: Evidence, decided: set[tuple[str, int]]) -> Iterable[OpenIssue]:
    """Repeated readings without a decision, and sizes that are flagged by themselves."""
    links, told = Links.of(evidence), _("nobody has decided")
    for key, reading in evidence.readings.items():
        if (key, reading.direction) in decided:
            continue
        flagged = tuple(dict.fromkeys(flag.size for flag in evidence.flags if flag.zone == key))
        if reading.level == "repeated":
            title = reading_title(reading, evidence.zones[key], evidence.data.sizes)
            yield OpenIssue(title, told, flagged or tuple(reading.sizes), links.zone(key))
        elif flagged:
            title = _("%(zone)s, flagged in %(sizes)s") % {
                "zone": zone_title(evidence.zones[key]),
                "sizes": ", ".join(flagged),
            }
            yield OpenIssue(title, told, flagged, links.zone(key))


def issues_by_size(version: Version) -> Mapping[str, Condition]:
    """No issue that touches the size is open."""
    touching: Counter[str] = Counter(size for issue in open_issues(version) for size in issue.sizes)
    return {
        size: Condition(
            not touching[size],
            ngettext("%(n)s open", "%(n)s open", touching[size]) % {"n": touching[size]}
            if touching[size]
            else _("none open"),
            reverse("sign_off_size", args=[version.ref, i]),
        )
        for i, size in enumerate(version.sizes)
    }


def seen_evidence(version: Version, size: str) -> dict[str, Any]:
    """The evidence of a size as it is sealed: which round, and one digest over every answer and every open issue."""
    evidence = evidence_of(version)
    issues = [[one.title, one.standing] for one in open_issues(version) if size in one.sizes]
    if evidence is None or size not in evidence.data.sizes:
        return {"round": "", "evidence": digest([[], issues])}
    cells = [evidence.counts.cells[key, size] for key in evidence.zones]
    answers = [
        [cell.zone, [[evidence.row(one).ref, one.fit, one.counted] for one in (*cell.counted_answers, *cell.aside)]]
        for cell in cells
    ]
    return {"round": evidence.found.ref, "evidence": digest([answers, issues])}

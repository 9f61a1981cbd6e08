"""What was decided in a round, and the rounds beside it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Count, OuterRef, Subquery
from django.utils.translation import gettext as _

from testing_rounds.models import Decision, DecisionKind, FitIssue, IssueAbout, IssueState, Round, StepNote


@dataclass(frozen=True)
class IssueLine:
    """A fit issue as a list shows it: its state, what was last decided, the version that carries the change."""

    zone: str
    direction: int
    state: str
    kind: str
    fixed_in: str

    @property
    def settled(self) -> bool:
        """Whether nobody needs to decide any more."""
        return self.state != IssueState.OPEN

    def words(self) -> str:
        """ "Decided: the grade. Fixed in 0.10." """
        return issue_words(self.state, self.kind, self.fixed_in)


def issue_words(state: str, kind: str, fixed_in: str) -> str:
    """The state of an issue in a few words."""
    if state == IssueState.LEFT:
        return _("Left as is.")
    if state == IssueState.OPEN or not kind:
        return _("Open: nobody has decided.")
    what = str(DecisionKind(kind).label)
    if state == IssueState.CONFIRMED:
        return _("Decided: %(what)s. Confirmed in %(version)s.") % {"what": what, "version": fixed_in}
    if fixed_in:
        return _("Decided: %(what)s. Fixed in %(version)s.") % {"what": what, "version": fixed_in}
    return _("Decided: %(what)s.") % {"what": what}


@dataclass(frozen=True)
class Sibling:
    """A round of the same pattern."""

    ref: str
    name: str
    version: str


@dataclass(frozen=True)
class Beside:
    """What the overview needs besides the evidence, read in one query."""

    rounds: tuple[Sibling, ...]
    issues: dict[tuple[str, int], IssueLine]
    noting: int
    others: dict[tuple[str, str], IssueLine] = field(default_factory=dict)

    def issue(self, zone: str, direction: int) -> IssueLine | None:
        return self.issues.get((zone, direction))

    def beside_issue(self, about: str, key: str) -> IssueLine | None:
        """The issue of a step (its number) or of a file (its kind)."""
        return self.others.get((about, key))


def beside(found: Round) -> Beside:
    """The rounds of the pattern, the issues of this one, and how many of its reports have notes on steps.

    One query: each round with each of its issues, which are few.
    """
    last = Decision.objects.filter(issue=OuterRef("issues__pk")).order_by("-id").values("kind")[:1]
    noting = (
        StepNote.objects.filter(report__place__round=OuterRef("pk"), report__submitted_at__isnull=False)
        .order_by()
        .values("report__place__round")
        .annotate(testers=Count("report__place", distinct=True))
        .values("testers")
    )
    rows = (
        Round.objects.filter(version__pattern=found.version.pattern_id)
        .annotate(last_kind=Subquery(last), noting=Subquery(noting))
        .order_by("-created", "-id", "issues__pk")
        .values(
            "pk", "ref", "name", "version__number", "noting", "last_kind",
            "issues__about", "issues__zone", "issues__direction", "issues__state", "issues__fixed_in__number",
        )
    )  # fmt: skip
    return _beside(found, rows)


def _beside(found: Round, rows: Iterable[Any]) -> Beside:
    rounds: dict[str, Sibling] = {}
    issues: dict[tuple[str, int], IssueLine] = {}
    others: dict[tuple[str, str], IssueLine] = {}
    noting = 0
    for row in rows:
        rounds[row["ref"]] = Sibling(row["ref"], row["name"], row["version__number"])
        if row["pk"] == found.pk:
            noting = row["noting"] or 0
            if row["issues__zone"] is not None:
                line = _line(row)
                if row["issues__about"] == IssueAbout.ZONE:
                    issues[line.zone, line.direction] = line
                else:
                    others[row["issues__about"], line.zone] = line
    return Beside(tuple(rounds.values()), issues, noting, others)


def _line(row: dict[str, Any]) -> IssueLine:
    return IssueLine(
        zone=row["issues__zone"],
        direction=row["issues__direction"],
        state=row["issues__state"],
        kind=row["last_kind"] or "",
        fixed_in=row["issues__fixed_in__number"] or "",
    )


def issues_of(found: Round, zone: str) -> list[FitIssue]:
    """The issues of a zone with their decisions, newest decision last; in two queries."""
    return issues_about(found, IssueAbout.ZONE, zone)


def issues_about(found: Round, about: str, key: str) -> list[FitIssue]:
    """The issues of a zone, a step or a file with their decisions."""
    issues = FitIssue.objects.filter(round=found, about=about, zone=key).select_related("fixed_in")
    return list(issues.prefetch_related("decisions__by").order_by("opened", "pk"))

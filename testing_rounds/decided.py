"""What was decided in a round, as the next version takes it up: titles, numbers, words, what is still to do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from measurements.finished_measures import FINISHED_MEASURES
from measurements.length_display import ALLOWANCE_STYLE, LengthStyle
from measurements.translated import both_units
from releases.models import FileKind
from testing_rounds.evidence_words import pole, size_span, zone_title
from testing_rounds.models import Decision, DecisionKind, FitIssue, IssueAbout, IssueState, Round
from testing_rounds.next_chart import Accepted
from testing_rounds.round_data import Zone
from testing_rounds.round_store import zone as as_zone

STYLE: LengthStyle = ALLOWANCE_STYLE


@dataclass(frozen=True)
class Decided:
    """An issue with its last decision."""

    issue: FitIssue
    decision: Decision
    title: str
    numbers: str
    url: str

    @property
    def kind(self) -> str:
        return capfirst(str(self.decision.get_kind_display()))

    @property
    def accepted(self) -> Accepted | None:
        """The numbers that go into the finished chart, where there are any."""
        by_size = changes_of(self.decision)
        return Accepted(self.decision.changes["measure"], by_size) if by_size else None

    @property
    def goes_in(self) -> bool:
        """Whether the next version takes it up: it is decided, nothing carries it yet, and something changes."""
        return self.issue.state == IssueState.DECIDED and self.decision.kind != DecisionKind.LEAVE


def decided_in(found: Round, issues: Iterable[FitIssue] | None = None) -> list[Decided]:
    """Every issue of a round that has a decision, in the order in which they were opened; two queries."""
    if issues is None:
        issues = (
            FitIssue.objects.filter(round=found)
            .select_related("fixed_in")
            .prefetch_related("decisions__by")
            .order_by("opened", "pk")
        )
    zones = {entry["key"]: as_zone(entry) for entry in found.zones}
    return [_decided(found, zones, issue, last) for issue in issues if (last := _last(issue))]


def _last(issue: FitIssue) -> Decision | None:
    return next(iter(reversed(issue.decisions.all())), None)


def _decided(found: Round, zones: Mapping[str, Zone], issue: FitIssue, last: Decision) -> Decided:
    sizes = found.version.sizes
    return Decided(issue, last, title_of(issue, zones, sizes), numbers_of(last, sizes), address_of(issue, found.ref))


def changes_of(decision: Decision) -> dict[str, Decimal]:
    """{size: mm} of the accepted numbers."""
    return {size: Decimal(said["mm"]) for size, said in decision.changes.get("by_size", {}).items()}


def title_of(issue: FitIssue, zones: Mapping[str, Zone], sizes: Sequence[str]) -> str:
    """ "Upper arm, tight in 18 to 24", "Step 9", "The A4 pages"."""
    if issue.about == IssueAbout.STEP:
        return _("Step %(step)s") % {"step": issue.zone}
    if issue.about == IssueAbout.FILE:
        return _("The file: %(file)s") % {"file": file_name(issue.zone)}
    zone = zones.get(issue.zone)
    if zone is None:
        return issue.zone
    known = [size for size in sizes if size in issue.sizes]
    places = {"zone": zone_title(zone), "word": pole(zone, issue.direction), "sizes": size_span(known, sizes)}
    return _("%(zone)s, %(word)s in %(sizes)s") % places if known else _("%(zone)s, %(word)s") % places


def file_name(kind: str) -> str:
    return str(FileKind(kind).label) if kind in FileKind.values else kind


def address_of(issue: FitIssue, round_ref: str) -> str:
    """The page of an issue."""
    name = {IssueAbout.STEP: "round_step", IssueAbout.FILE: "round_prints"}.get(IssueAbout(issue.about), "round_zone")
    return reverse(name, args=[round_ref, issue.zone])


def numbers_of(decision: Decision, sizes: Sequence[str]) -> str:
    """The accepted numbers in few words: "Back length +1.5 cm (9/16 in) in all sizes"."""
    changes = changes_of(decision)
    if not changes:
        return ""
    measure = decision.changes["measure"]
    name = _(FINISHED_MEASURES[measure].name) if measure in FINISHED_MEASURES else measure
    groups: dict[Decimal, list[str]] = {}
    for size in (size for size in sizes if size in changes):
        groups.setdefault(changes[size], []).append(size)
    said = [
        _("%(change)s in %(sizes)s") % {"change": signed(change), "sizes": size_span(some, sizes)}
        for change, some in groups.items()
    ]
    return _("%(name)s %(changes)s") % {"name": name, "changes": ", ".join(said)}


def signed(change: Decimal) -> str:
    """A change in both systems with its sign: "+1.5 cm (9/16 in)"."""
    return f"{'+' if change > 0 else '−'}{both_units(STYLE, abs(change))}"

"""The fit-issue summary of a round: all that stands on its paper, and nobody's name but the studio's own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import pairwise
from math import ceil

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from testing_rounds.evidence import Evidence
from testing_rounds.evidence_filter import Shown
from testing_rounds.evidence_words import covered, pole, zone_title
from testing_rounds.issues import beside, issue_words
from testing_rounds.matrix import Matrix, matrix
from testing_rounds.models import Decision, FitIssue, Photo
from testing_rounds.overview import Overview, ReadingLine, overview, rank
from testing_rounds.overview_lists import AsideLine
from testing_rounds.reading import Reading
from testing_rounds.summary_names import Nameless, without_names
from testing_rounds.summary_sizes import SizeLine, size_lines
from testing_rounds.summary_steps import StepLine, step_lines
from testing_rounds.summary_voices import VoiceBook, Voices
from testing_rounds.zone_page import ZonePage, zone_page

# Beside the margins (14 mm each) and the zones' names (40 mm), a size takes 10 mm: "2 of 3 tight" in 7.5 pt, two lines.
_TAKEN_MM, _COLUMN_MM = 68, 10


@dataclass(frozen=True)
class Decided:
    """One decision: about what, what it says is wrong, why, who said so and when; `state` as it stands now."""

    about: str
    what: str
    words: str
    by: str
    at: datetime
    state: str


@dataclass(frozen=True)
class ReadingSheet:
    """One reading whole: its line, the evidence of its zone, voices, decisions."""

    line: ReadingLine
    zone: ZonePage
    voices: Voices
    decisions: tuple[Decided, ...]


@dataclass(frozen=True)
class FitSummary:
    """Everything on the paper. `pictures` are the photos that it shows, by their ref."""

    page: Overview
    lines: tuple[ReadingLine, ...]
    matrices: tuple[Matrix, ...]
    sheets: tuple[ReadingSheet, ...]
    others: tuple[Decided, ...]
    sizes: tuple[SizeLine, ...]
    steps: tuple[StepLine, ...]
    aside: tuple[AsideLine, ...]
    back: tuple[AsideLine, ...]
    pictures: dict[str, Photo]
    fuller: bool


def fit_summary(evidence: Evidence, today: date, width_mm: float) -> FitSummary:
    """The summary on a sheet of this width. The evidence is used up: its places lose their names in memory."""
    nameless = without_names(evidence)
    shown, ranked = Shown(evidence.data.sizes, tuple(evidence.zones)), rank(evidence)
    page = overview(evidence, shown, beside(evidence.found), today)
    lines = tuple(_on_paper(line) for line in page.readings)
    book, decided = VoiceBook(evidence, nameless), _decided(evidence, nameless)
    sheets = tuple(_sheet(evidence, reading, line, book, decided) for reading, line in zip(ranked, lines, strict=True))
    read = {(reading.zone, reading.direction) for reading in ranked}
    return FitSummary(
        page=page,
        lines=lines,
        matrices=tuple(matrix(evidence, part, ranked) for part in _parts(shown, width_mm)),
        sheets=sheets,
        others=tuple(one for side, some in decided.items() if side not in read for one in some),
        sizes=tuple(size_lines(evidence, page.matrix.heads)),
        steps=tuple(step_lines(evidence, book, nameless)),
        aside=_clean(page.aside, nameless),
        back=_clean(page.back, nameless),
        pictures=book.pictures,
        fuller=page.fuller,
    )


def _on_paper(line: ReadingLine) -> ReadingLine:
    """The line leads to its own sheet, and says so where nobody has decided."""
    return replace(line, url=f"#sheet-{line.number}", issue=line.issue or _("Open: nobody has decided."))


def _parts(shown: Shown, width_mm: float) -> Iterable[Shown]:
    """The sizes in groups of even length that fit side by side."""
    most = max(1, int((width_mm - _TAKEN_MM) // _COLUMN_MM))
    sizes, groups = shown.sizes, ceil(len(shown.sizes) / most) or 1
    ends = [round(i * len(sizes) / groups) for i in range(groups + 1)]
    return [replace(shown, sizes=sizes[a:b]) for a, b in pairwise(ends)]


def _sheet(
    evidence: Evidence,
    reading: Reading,
    line: ReadingLine,
    book: VoiceBook,
    decided: dict[tuple[str, int], list[Decided]],
) -> ReadingSheet:
    touched = covered(reading, evidence.data.sizes)
    complaints = [
        answer
        for answer in evidence.answers(reading.zone)
        if answer.counted and answer.size in touched and answer.fit * reading.direction > 0
    ]
    return ReadingSheet(
        line=line,
        zone=zone_page(evidence, reading.zone),
        voices=book.of(complaints, reading.zone),
        decisions=tuple(decided[reading.zone, reading.direction]),
    )


def _decided(evidence: Evidence, nameless: Nameless) -> dict[tuple[str, int], list[Decided]]:
    """{(zone, side): its decisions, the first one first}; in three queries."""
    found: dict[tuple[str, int], list[Decided]] = defaultdict(list)
    issues = FitIssue.objects.filter(round=evidence.found, about="zone", zone__in=list(evidence.zones)).select_related(
        "fixed_in"
    )
    for issue in issues.prefetch_related("decisions__by").order_by("opened", "pk"):
        for decision in issue.decisions.all():
            found[issue.zone, issue.direction].append(_decision(evidence, issue, decision, nameless))
    return found


def _decision(evidence: Evidence, issue: FitIssue, decision: Decision, nameless: Nameless) -> Decided:
    zone = evidence.zones[issue.zone]
    return Decided(
        about=_("%(zone)s, %(word)s") % {"zone": zone_title(zone), "word": pole(zone, issue.direction)},
        what=capfirst(str(decision.get_kind_display())),
        words=nameless.text(decision.words),
        by=str(decision.by) if decision.by else "",
        at=decision.at,
        state=issue_words(issue.state, decision.kind, issue.fixed_in.number if issue.fixed_in else ""),
    )


def _clean(lines: Iterable[AsideLine], nameless: Nameless) -> tuple[AsideLine, ...]:
    """Reasons that a person wrote, without names."""
    return tuple(replace(line, why=nameless.text(line.why)) for line in lines)


def rows_of(evidence: Evidence) -> int:
    """About how many table rows the paper will have: what tells a short document from a long one.

    A report counts as one more: its strokes fill the table of every zone.
    """
    sizes, repeated = len(evidence.data.sizes), len(rank(evidence))
    return len(evidence.zones) + sizes * (repeated + 1) + len(evidence.set_aside) + len(evidence.rows)

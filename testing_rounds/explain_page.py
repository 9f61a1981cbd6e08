"""The page of what to explain: a round's notes as the pure module wants them, its answer as the page shows it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from releases.booklet import StepLine, step_lines
from testing_rounds.evidence_words import spelled
from testing_rounds.explain import Said, Sewer, ToExplain, what_to_explain
from testing_rounds.models import FitReport, Round, StepNote


@dataclass(frozen=True)
class ExplainLine:
    """A step to explain, and the step itself with its picture and lesson where the booklet still has it."""

    found: ToExplain
    step: StepLine | None


@dataclass(frozen=True)
class ExplainPage:
    headline: str
    lines: tuple[ExplainLine, ...]


def explain_page(found: Round) -> ExplainPage:
    """In six queries."""
    steps = {one.number: one for one in step_lines(found.version)}
    sewers = sewers_of(found)
    lines = tuple(ExplainLine(one, steps.get(one.step)) for one in what_to_explain(sewers))
    return ExplainPage(_headline(lines, len(sewers)), lines)


def sewers_of(found: Round) -> list[Sewer]:
    """Who sewed the steps: a report that was sent sewed all of them, one that was not those up to its last note.

    Where a tester has reported twice, both garments' notes count as one tester's.
    """
    reports = FitReport.objects.filter(place__round=found).select_related("place")
    notes: dict[int, dict[int, list[Said]]] = defaultdict(lambda: defaultdict(list))
    for note in StepNote.objects.filter(report__place__round=found, step__isnull=False).select_related("report"):
        notes[note.report.place_id][note.step or 0].append(Said(note.kind or "lost", note.text))
    sent = {report.place_id for report in reports if report.submitted_at}
    places = {report.place_id: (report.place, report.size) for report in reports}
    return [
        Sewer(str(place), size, None if pk in sent else max(notes[pk]), notes[pk])
        for pk, (place, size) in places.items()
        if pk in sent or notes[pk]
    ]


def _headline(lines: tuple[ExplainLine, ...], testers: int) -> str:
    if not testers:
        return _("Nobody has sewn the steps yet, so there is nothing to explain.")
    if not lines:
        return _("Nobody got lost: the steps carry.")
    first = lines[0].found
    said = {"step": first.step, "lost": spelled(first.lost).capitalize(), "sewed": first.sewed}
    return (
        ngettext(
            "%(lost)s of %(sewed)s got lost at step %(step)s: explain it next.",
            "%(lost)s of %(sewed)s got lost at step %(step)s: explain it next.",
            first.lost,
        )
        % said
    )

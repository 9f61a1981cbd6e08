"""What testers noted at the steps of the instructions: how many at each, and their notes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from testing_rounds.evidence_words import listed, spelled
from testing_rounds.models import FitReport, Round, StepNote


@dataclass(frozen=True)
class NoteLine:
    """One note: who, in which size, what sort of trouble, in which words."""

    tester: str
    size: str
    kind: str
    text: str
    url: str


@dataclass(frozen=True)
class StepLine:
    """One step (None: no step was named) with its text and its notes; `testers` noted something of `all`."""

    number: int | None
    text: str
    testers: int
    all: int
    notes: tuple[NoteLine, ...]

    @property
    def anchor(self) -> str:
        return f"step-{self.number or 'none'}"


@dataclass(frozen=True)
class StepsPage:
    """The steps at which anyone noted something, those with the most testers first."""

    headline: str
    lines: tuple[StepLine, ...]
    in_order: tuple[StepLine, ...]
    testers: int


def steps_page(found: Round) -> StepsPage:
    """The notes of the reports that were sent, in three queries."""
    sent = FitReport.objects.filter(place__round=found, submitted_at__isnull=False)
    everyone = sent.order_by().values("place").distinct().count()
    notes = StepNote.objects.filter(report__in=sent).select_related("report__place")
    texts = dict(found.version.steps.values_list("number", "text"))
    by_step: dict[int | None, list[StepNote]] = defaultdict(list)
    for note in notes:
        by_step[note.step].append(note)
    in_order = [
        _line(number, texts.get(number or 0, ""), by_step[number], everyone)
        for number in sorted(by_step, key=lambda step: (step is None, step or 0))
    ]
    most = sorted(in_order, key=lambda line: (line.number is None, -line.testers))
    noting = len({note.report.place_id for some in by_step.values() for note in some})
    return StepsPage(_headline(most, noting, everyone), tuple(most), tuple(in_order), noting)


def step_line(found: Round, number: int) -> StepLine | None:
    """One step with its notes; None where there is neither a step of that number nor a note at it."""
    sent = FitReport.objects.filter(place__round=found, submitted_at__isnull=False)
    notes = list(StepNote.objects.filter(report__in=sent, step=number).select_related("report__place"))
    text = found.version.steps.filter(number=number).values_list("text", flat=True).first()
    if text is None and not notes:
        return None
    return _line(number, text or "", notes, sent.order_by().values("place").distinct().count())


def _line(number: int | None, text: str, notes: Sequence[StepNote], everyone: int) -> StepLine:
    lines = tuple(
        NoteLine(
            str(note.report.place),
            note.report.size,
            str(note.get_kind_display()) if note.kind else "",
            note.text,
            reverse("report", args=[note.report.ref]) + "#steps",
        )
        for note in notes
    )
    return StepLine(number, text, len({note.report.place_id for note in notes}), everyone, lines)


def _headline(most: Sequence[StepLine], noting: int, everyone: int) -> str:
    if not everyone:
        return _("No report is in yet, so nobody has noted anything.")
    if not noting:
        said = ngettext(
            "The one tester who reported got through without a note.",
            "All %(n)s testers got through the steps without a note.",
            everyone,
        )
        return said % {"n": spelled(everyone)}
    first = ngettext(
        "%(n)s of %(all)s testers noted something",
        "%(n)s of %(all)s testers noted something",
        noting,
    ) % {"n": noting, "all": everyone}
    top = [line for line in most if line.number and line.testers == most[0].testers and line.testers > 1]
    if not top or len(top) > 3:
        return _("%(first)s.") % {"first": first}
    where = listed([str(line.number) for line in top])
    if top[0].testers == noting:
        said = ngettext("%(first)s, all at step %(where)s.", "%(first)s, all at steps %(where)s.", len(top))
        return said % {"first": first, "where": where}
    said = ngettext(
        "%(first)s; %(k)s of them at step %(where)s.", "%(first)s; %(k)s of them each at steps %(where)s.", len(top)
    )
    return said % {"first": first, "k": top[0].testers, "where": where}

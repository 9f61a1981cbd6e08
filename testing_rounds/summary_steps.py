"""What testers noted at the steps, counted, with the words of those who may be quoted."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from people.models import ConsentKind
from testing_rounds.evidence import Evidence
from testing_rounds.models import NoteKind, StepNote
from testing_rounds.summary_names import Nameless
from testing_rounds.summary_voices import VoiceBook

MOST_QUOTES = 3


@dataclass(frozen=True)
class StepLine:
    """One step (None: none was named): its text, who noted something, what sort of thing, and some of the words."""

    number: int | None
    text: str
    testers: int
    all: int
    kinds: tuple[tuple[str, int], ...]
    quotes: tuple[tuple[str, str], ...]


def step_lines(evidence: Evidence, book: VoiceBook, nameless: Nameless) -> list[StepLine]:
    """The steps with notes in their order, those without a number last; in two queries."""
    rows = {row.pk: row for row in evidence.rows}
    by_step: dict[int | None, list[StepNote]] = defaultdict(list)
    for note in StepNote.objects.filter(report__in=list(rows)):
        note.report = rows[note.report_id]
        by_step[note.step].append(note)
    if not by_step:
        return []
    texts = dict(evidence.found.version.steps.values_list("number", "text"))
    order = sorted(by_step, key=lambda step: (step is None, step or 0))
    return [_line(step, texts.get(step or 0, ""), by_step[step], len(rows), book, nameless) for step in order]


def _line(
    step: int | None, text: str, notes: Sequence[StepNote], everyone: int, book: VoiceBook, nameless: Nameless
) -> StepLine:
    kinds = Counter(str(NoteKind(note.kind).label) for note in notes if note.kind in NoteKind.values)
    quotes = [
        (note.report.size, nameless.text(note.text.strip()))
        for note in notes
        if note.text.strip() and book.may(note.report_id, ConsentKind.QUOTE)
    ]
    return StepLine(
        number=step,
        text=text,
        testers=len({note.report_id for note in notes}),
        all=everyone,
        kinds=tuple(kinds.most_common()),
        quotes=tuple(quotes[:MOST_QUOTES]),
    )

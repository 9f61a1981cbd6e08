"""The evidence as the drawings want it: strokes, plot sizes, spans, marks on the form, the panel."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from testing_rounds.counts import Cell
from testing_rounds.drawings import PanelSize, PlotSize, Span, Stroke, ZoneMark
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_filter import Links, answer_anchor
from testing_rounds.evidence_words import covered, pole, size_span, verdict_words
from testing_rounds.reading import Reading
from testing_rounds.round_data import Zone
from testing_rounds.set_aside import Answer


def strokes(cell: Cell, evidence: Evidence | None = None) -> tuple[Stroke, ...]:
    """Every report of a cell; with the evidence each stroke names its tester and leads to the report."""
    return tuple(_stroke(answer, evidence) for answer in (*cell.counted_answers, *cell.aside))


def _stroke(answer: Answer, evidence: Evidence | None) -> Stroke:
    if evidence is None:
        return _plain(answer.fit, not answer.counted)
    words = verdict_words(evidence.zones[answer.zone], answer.fit)
    said = _("%(tester)s: %(words)s") if answer.counted else _("%(tester)s: %(words)s, set aside")
    row = evidence.row(answer)
    href = Links.of(evidence).report(row, answer_anchor(evidence, answer.zone))
    return Stroke(answer.fit, not answer.counted, said % {"tester": row.place, "words": words}, href)


@cache
def _plain(fit: int, aside: bool) -> Stroke:
    """A stroke without words: there are ten of them, and a page of hundreds shares them."""
    return Stroke(fit, aside)


def plot_sizes(cells: Iterable[Cell], evidence: Evidence | None = None) -> tuple[PlotSize, ...]:
    """A zone over the sizes."""
    return tuple(PlotSize(cell.size, cell.low, cell.high, cell.counted, strokes(cell, evidence)) for cell in cells)


def span(reading: Reading, sizes: Sequence[str]) -> Span:
    """The chalk line of a reading."""
    return Span(covered(reading, sizes) if reading.level == "repeated" else (), reading.direction)


def side(direction: int) -> str:
    return "small" if direction < 0 else "large" if direction > 0 else "none"


def read_mark(reading: Reading, zone: Zone, sizes: Sequence[str], *, strongest: bool) -> ZoneMark:
    """The mark of a repeated reading: 1 for one size, 2 for several, 3 for the strongest of these."""
    strength = 1 if len(reading.sizes) < 2 else 3 if strongest else 2
    touched = covered(reading, sizes)
    note = _("%(word)s, %(sizes)s") % {"word": pole(zone, reading.direction), "sizes": size_span(touched, sizes)}
    return ZoneMark(side(reading.direction), strength, note)


def hint_mark(zone: Zone, direction: int, found: Sequence[str], sizes: Sequence[str]) -> ZoneMark:
    """The mark of what is flagged, or watched, without a reading: a question."""
    note = _("%(word)s, %(sizes)s?") % {"word": pole(zone, direction), "sizes": size_span(found, sizes)}
    return ZoneMark(side(direction), 1, note)


def size_marks(evidence: Evidence, size: str) -> dict[str, ZoneMark]:
    """What one size says of each zone: 2 where its own reports repeat a complaint, 1 for a lone one."""
    marks = {}
    for key, zone in evidence.zones.items():
        cell = evidence.counts.cells[key, size]
        if cell.direction:
            said = cell.complaints(cell.direction)
            note = _("%(k)s of %(n)s %(word)s") % {"k": said, "n": cell.counted, "word": pole(zone, cell.direction)}
            marks[key] = ZoneMark(side(cell.direction), 2 if cell.level == "repeated" else 1, note)
    return marks


def set_aside_whole(evidence: Evidence) -> set[int]:
    """The reports (by their place among the rows) that answered something and of which nothing counts."""
    counted: dict[int, bool] = {}
    for cell in evidence.counts.cells.values():
        for answer in (*cell.counted_answers, *cell.aside):
            counted[answer.report] = counted.get(answer.report, False) or answer.counted
    return {report for report, counts in counted.items() if not counts}


def panel_sizes(evidence: Evidence) -> tuple[PanelSize, ...]:
    """The testers of each size: by the size that they sewed, or will sew."""
    aside = set_aside_whole(evidence)
    sewn = Counter((row.size, number in aside) for number, row in enumerate(evidence.rows))
    to_come = Counter(place.size for place in evidence.waiting())
    return tuple(_panel_size(size, sewn[size, False], sewn[size, True], to_come[size]) for size in evidence.data.sizes)


def _panel_size(size: str, counted: int, aside: int, to_come: int) -> PanelSize:
    parts = [
        ngettext("%(n)s report counts", "%(n)s reports count", counted) % {"n": counted},
        *([ngettext("%(n)s set aside whole", "%(n)s set aside whole", aside) % {"n": aside}] if aside else []),
        *([ngettext("%(n)s still to come", "%(n)s still to come", to_come) % {"n": to_come}] if to_come else []),
    ]
    title = _("Size %(size)s: %(parts)s") % {"size": size, "parts": ", ".join(parts)}
    return PanelSize(size, counted, aside, to_come, title)

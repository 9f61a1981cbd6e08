"""The grade check: every check of a body chart, a finished chart, or both, with what the designer declares.

Ease per size is judged wherever both charts speak; a row alone is judged on its own steps.
Method and limits: docs/algorithms/grade-check.md.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal

from measurements.charts import ChartTable
from measurements.grade_closing import base_sewn, opening, sweep
from measurements.grade_ease import ease_findings
from measurements.grade_pairs import pairs_of
from measurements.grade_rows import Rows, rows_of
from measurements.grade_seams import NO_ROW, cap, gathers, pairs
from measurements.grade_series import step_slips, turns
from measurements.grade_shape import crossing, lengths, ratios
from measurements.grade_steps import end_of_line, step_findings
from measurements.grade_types import KINDS, Finding, GradeFacts, GradeReport, NotRun
from measurements.sentences import Sentence, gettext_noop, sentence

NO_FACTS = GradeFacts()
Said = Finding | NotRun | Sentence


def check_grade(
    body: ChartTable | None,
    finished: ChartTable | None,
    facts: GradeFacts = NO_FACTS,
    *,
    q_mm: Decimal | None = None,
) -> GradeReport:
    """Check one chart or two. `q_mm` is the unit that lengths are rounded to; else it is read off the charts."""
    body_rows = rows_of(body, "body", facts.breaks, q_mm) if body else None
    garment = rows_of(finished, "finished", facts.breaks, q_mm) if finished else None
    said = list(_everything(body_rows, garment, facts))
    findings = [one for one in said if isinstance(one, Finding)]
    return GradeReport(
        tuple(sorted(findings, key=lambda one: (KINDS.index(one.kind), one.chart))),
        tuple(dict.fromkeys(one for one in said if isinstance(one, NotRun))),
        tuple(one for one in said if isinstance(one, Sentence)),
    )


def _everything(body: Rows | None, finished: Rows | None, facts: GradeFacts) -> Iterator[Said]:
    charts = [chart for chart in (body, finished) if chart]
    graded = list(_grade(body, finished, facts))
    yield from graded
    for chart in charts:
        yield from size_labels(chart)
        yield from crossing(chart)
        absurd, notes = ratios(chart)
        yield from absurd
        yield from notes
        # One wrong number is told once: its own steps are no way of grading a length.
        slips = [one for one in graded if isinstance(one, Finding) and one.kind == "slip"]
        yield from lengths(chart.mended(slips), facts.kind)
    garment = finished or body
    if garment:
        yield from cap(garment, facts)
        yield from pairs(garment, facts)
        yield from gathers(garment, facts)
        yield from sweep(garment, body, facts)
        yield from opening(garment, body, facts)
        yield from base_sewn(garment, facts)


def _grade(body: Rows | None, finished: Rows | None, facts: GradeFacts) -> Iterator[Finding | NotRun]:
    """Slips, breaks and drift: on ease where there are two charts, else on the steps of the one."""
    on_ease: tuple[set[str], set[str]] = (set(), set())
    if body and finished:
        if not set(body.sizes) & set(finished.sizes):
            said = gettext_noop("The body chart and the finished one have no size in common.")
            yield NotRun("ease", sentence("no_common_size", said))
        for pair in pairs_of(body, finished, facts):
            on_ease[0].add(pair.body.key)
            on_ease[1].add(pair.row.key)
            yield from ease_findings(body, finished, pair, facts)
    else:
        said = gettext_noop("There is one chart alone: the ease is judged where a body chart and a finished one are.")
        yield NotRun("ease", sentence("one_chart", said))
    yield from _meant_but_unknown(body, finished, facts)
    yield from _not_in_chart(body, finished, facts)
    for chart, judged in ((body, on_ease[0]), (finished, on_ease[1])):
        if chart is None:
            continue
        if len(chart.sizes) < 3:
            said = gettext_noop("Fewer than three sizes: there is no step to compare a step with.")
            yield NotRun("slip", sentence("few_sizes", said))
        only = frozenset(row.key for row in chart if row.key not in judged)
        declared = frozenset(size for one in (body, finished) if one for row in one for size in row.breaks)
        known = declared or None
        if chart is body and finished:
            # The garment follows the body's breaks: they are never undeclared.
            known = None
        elif known and body and body is not chart:
            known |= _body_breaks(body)
        yield from step_findings(chart, only, known_breaks=known)
        if not declared and not (body and finished):
            said = gettext_noop("No breaks are declared: a step that changes on purpose cannot be told from a mistake.")
            yield NotRun("break", sentence("no_breaks", said))


def _body_breaks(body: Rows) -> frozenset[str]:
    """The sizes at which some row of the body chart changes its step."""
    turned = (body.sizes[x[at]] for row in body for x, y in [row.filled] for at in turns(x, y, body.q))
    return frozenset(turned)


def _meant_but_unknown(body: Rows | None, finished: Rows | None, facts: GradeFacts) -> Iterable[NotRun]:
    if not body or not finished:
        return
    judged = {pair.row.key for pair in pairs_of(body, finished, facts)}
    for name in facts.ease:
        row = finished.called(name)
        if row is None or row.key not in judged:
            said = gettext_noop("The ease meant for “%(measure)s” cannot be taken: body or garment is missing.")
            yield NotRun("ease", sentence("no_ease", said, measure=name))


def _not_in_chart(body: Rows | None, finished: Rows | None, facts: GradeFacts) -> Iterator[NotRun]:
    """Declared sizes and rows of breaks that no chart has."""
    charts = [chart for chart in (body, finished) if chart]
    declared = facts.breaks or {}
    for size in dict.fromkeys((*([facts.base] if facts.base else []), *(s for at in declared.values() for s in at))):
        if not any(size in chart.sizes for chart in charts):
            said = gettext_noop("The chart has no size %(size)s, which is declared.")
            yield NotRun("facts", sentence("no_such_size", said, size=size))
    for name, sizes in declared.items():
        if not any(chart.called(name) for chart in charts):
            yield NotRun("break", sentence("no_row", NO_ROW, measure=name, sizes=", ".join(sizes)))


def size_labels(chart: Rows) -> Iterator[Finding]:
    """A size label off an even count: a misprint in a table's head."""
    numbers = [int(label) if re.fullmatch(r"[1-9]\d{0,2}|0", label) else None for label in chart.sizes]
    x = [i for i, number in enumerate(numbers) if number is not None]
    y = [float(number) for number in numbers if number is not None]
    if len(y) < 5:
        return
    for at, should in _odd_labels(x, y):
        place = x[at]
        size, right = chart.sizes[place], f"{should:g}"
        if right in chart.sizes:
            continue
        said = gettext_noop("The size label %(size)s is out of step with the others: %(right)s would be in line.")
        says = sentence("label", said, size=size, right=right)
        evidence = (chart.evidence("Size", numbers_as_cm(numbers)),)
        yield Finding("slip", "size", chart.chart, (size,), says, ((size, Decimal(right) * 10),), evidence)


def numbers_as_cm(numbers: Iterable[int | None]) -> list[float | None]:
    return [None if number is None else float(number) for number in numbers]


def _odd_labels(x: list[int], y: list[float]) -> Iterator[tuple[int, float]]:
    for slip in step_slips(x, y, 0.5):
        yield slip.at, slip.should
    for at in (0, len(y) - 1):
        should = end_of_line(x, y, at)
        if should is not None:
            yield at, should

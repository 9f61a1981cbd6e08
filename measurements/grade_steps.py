"""Slips, jumps and breaks of rows that have no body beside them: a chart judged on its own steps.

Published charts have honest, uneven steps, and an end may open wider. So a lone end is judged by the chart's other
circumferences, or when it is out of all proportion; a change of step is a finding only where breaks are declared.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from measurements.grade_companions import companion_slips
from measurements.grade_rows import Row, Rows, mm
from measurements.grade_series import TINY, Jump, Slip, mean_step, step_jumps, step_slips, turns
from measurements.grade_types import Evidence, Finding
from measurements.sentences import gettext_noop, sentence

# An end step is out of proportion beyond twice its neighbours', or when it turns back (judgement; the published
# charts of the tests stay below: the widest is half of its neighbour's).
END_TIMES = 1.0
# Beside other circumferences that keep their step, a lone end step may differ by this share.
END_ALONE = 0.3
# A level that changes once and stays, beside even steps.
JUMP_SHARE = 0.4
# A change of step smaller than this share is uneven grading, no break.
BREAK_SHARE = 0.1
# A declared break may be as small as this share of the step.
HIDDEN_SHARE = 0.15


def step_findings(
    chart: Rows, only: frozenset[str] | None = None, *, known_breaks: frozenset[str] | None = None
) -> Iterator[Finding]:
    """Findings of every row, or of those whose keys are in `only`.

    `known_breaks` are the sizes at which some row has a break on purpose; None where no breaks are declared at all.
    """
    for row in chart:
        if only is not None and row.key not in only:
            continue
        if in_blocks(row):
            continue
        found = dict(_slips(chart, row))
        yield from (_slip(chart, row, place, should) for place, should in found.items())
        yield from _jumps(chart, row, found)
        yield from _breaks(chart, row, found, known_breaks)


def in_blocks(row: Row) -> bool:
    """Whether a row stands still over a third of its steps and else goes one way: a zip comes in lengths."""
    _, y = row.filled
    steps = [b - a for a, b in pairwise(y)]
    still = sum(abs(step) <= TINY for step in steps)
    return still > 0 and 3 * still >= len(steps) and min(steps) * max(steps) >= 0


def mended(row: Row, found: dict[int, float]) -> tuple[list[int], list[float]]:
    """The row without its slips."""
    x, y = row.filled
    return x, [found.get(place, value) for place, value in zip(x, y, strict=True)]


def _slips(chart: Rows, row: Row) -> Iterator[tuple[int, float]]:
    x, y = row.filled
    if len(y) < 3:
        return
    together = companion_slips(chart, row)
    if together:
        yield from together.items()
        return
    inner = step_slips(x, y, chart.q)
    declared = {chart.place(size) for size in row.breaks}
    for slip in inner:
        yield x[slip.at], _by_breaks(x, y, slip, declared)
    ends = {}
    for at, near in ((0, (1, 2, 3)), (len(y) - 1, (len(y) - 2, len(y) - 3, len(y) - 4))):
        if x[max(at, 1)] in declared or any(slip.at in near[:2] for slip in inner):
            continue
        should = _end(chart, row, x, y, at, near)
        if should is not None:
            ends[x[at]] = should
    if len(y) == 3 and ends:
        # Of three sizes the steps m - e and m + e point at the one between them.
        ends = {x[1]: y[0] + mean_step(x, y, 0, 2) * (x[1] - x[0])}
    yield from ends.items()


def _by_breaks(x: list[int], y: list[float], slip: Slip, declared: set[int | None]) -> float:
    """What a slip should be: midway, or by the step of its own stretch where a break beside it is declared."""
    at = slip.at
    if x[at] in declared and at + 2 < len(y) and x[at + 2] not in declared:
        return y[at + 1] - mean_step(x, y, at + 1, at + 2) * (x[at + 1] - x[at])
    if x[at] not in declared and x[at + 1] in declared and at >= 2:
        return y[at - 1] + mean_step(x, y, at - 2, at - 1) * (x[at] - x[at - 1])
    return slip.should


def _end(chart: Rows, row: Row, x: list[int], y: list[float], at: int, near: tuple[int, int, int]) -> float | None:
    """What an end should be, where it is off; its step is compared with the inner ones."""
    a, b, c = near
    step = (y[at] - y[a]) / (x[at] - x[a])
    inner = [(y[a] - y[b]) / (x[a] - x[b])]
    if 0 <= c < len(y):
        inner.append((y[b] - y[c]) / (x[b] - x[c]))
    low, high = min(inner), max(inner)
    off = step - high if step > high else step - low if step < low else 0.0
    usual = max(abs(low), abs(high))
    far = abs(off) > max(2 * chart.q, END_TIMES * usual) + TINY
    apart = high - low > chart.q + TINY
    if len(inner) == 1 and far and usual > TINY and abs(off) < 2 * usual:
        return None
    lone = not apart and abs(off) > max(2 * chart.q, END_ALONE * usual) + TINY and _alone(chart, row, x[at], x[a], x[b])
    return y[a] + inner[0] * (x[at] - x[a]) if far or lone else None


def _alone(chart: Rows, row: Row, end: int, a: int, b: int) -> bool:
    """Whether two circumferences at least keep their step at this end, and none changes it."""
    kept = 0
    for other in chart:
        values = [other.at(place) for place in (end, a, b)]
        if other.key == row.key or not other.round or None in values:
            continue
        outer, inner = ((values[i] - values[i + 1]) / (p - r) for i, (p, r) in enumerate(((end, a), (a, b))))  # type: ignore[operator]
        if abs(outer - inner) > max(chart.q, 0.15 * abs(inner)) + TINY:
            return False
        kept += 1
    return row.round and kept >= 2


def _slip(chart: Rows, row: Row, place: int, should: float) -> Finding:
    value = row.at(place) or 0.0
    off = value - should
    big = gettext_noop("%(size)s: %(measure)s is %(off)s too large: it is %(is)s, its neighbours ask for %(should)s.")
    small = gettext_noop("%(size)s: %(measure)s is %(off)s too small: it is %(is)s, its neighbours ask for %(should)s.")
    says = sentence(
        "slip", big if off > 0 else small,
        size=chart.sizes[place], measure=row.name, off=mm(abs(off)), should=mm(should), **{"is": mm(value)},
    )  # fmt: skip
    return Finding(
        "slip",
        row.key,
        chart.chart,
        (chart.sizes[place],),
        says,
        chart.proposals({place: should}),
        (_steps(chart, row),),
    )


def _steps(chart: Rows, row: Row) -> Evidence:
    values: list[float | None] = [None]
    values += [None if a is None or b is None else b - a for a, b in pairwise(row.cm)]
    return chart.evidence(gettext_noop("Step"), values)


def _jumps(chart: Rows, row: Row, found: dict[int, float]) -> Iterator[Finding]:
    x, y = mended(row, found)
    declared = {chart.place(size) for size in row.breaks}
    for jump in step_jumps(x, y, chart.q):
        usual = abs(mean_step(x, y, jump.at - 2, jump.at - 1))
        wide = max(2 * chart.q, JUMP_SHARE * usual)
        grows = (y[jump.at] - y[jump.at - 1]) > TINY or not row.round
        if _shared(chart, row, x[jump.at], jump.off):
            continue
        if len(y) >= 6 and abs(jump.off) > wide + TINY and grows and x[jump.at] not in declared:
            yield jump_finding(chart, row, x[jump.at :], jump, y, x)


def _shared(chart: Rows, row: Row, place: int, off: float) -> bool:
    """Whether another circumference takes the same odd step there: two ranges set side by side, no mistake."""
    for other in chart:
        before, start, end, after = (other.at(place + k) for k in (-2, -1, 0, 1))
        if other.key == row.key or not other.round or before is None or start is None or end is None or after is None:
            continue
        odd = (end - start) - ((start - before) + (after - end)) / 2
        if odd * off > 0 and abs(odd) > max(chart.q, abs(off) / 4) + TINY:
            return True
    return False


def jump_finding(chart: Rows, row: Row, places: list[int], jump: Jump, y: list[float], x: list[int]) -> Finding:
    step = y[jump.at] - y[jump.at - 1]
    said = gettext_noop(
        "From %(size)s on, %(measure)s is %(off)s off: the step up to %(size)s is %(step)s, those beside it %(usual)s."
    )
    says = sentence(
        "jump", said, size=chart.sizes[places[0]], measure=row.name, off=mm(abs(jump.off)), step=mm(step),
        usual=mm(step - jump.off),
    )  # fmt: skip
    proposed = {place: (row.at(place) or 0.0) - jump.off for place in places}
    sizes = tuple(chart.sizes[place] for place in places)
    return Finding("slip", row.key, chart.chart, sizes, says, chart.proposals(proposed), (_steps(chart, row),))


def _breaks(chart: Rows, row: Row, found: dict[int, float], known: frozenset[str] | None) -> Iterator[Finding]:
    """Where breaks are declared: a declared one that is not there, and one that is there undeclared."""
    x, y = mended(row, found)
    places = [chart.place(size) for size in row.breaks]
    declared = sorted({x.index(place) for place in places if place in x and 1 < x.index(place) < len(x)})
    yield from _missing(chart, row, x, y, declared)
    if known is None or len(y) < 5:
        return
    for at in turns(x, y, chart.q):
        edges = [0, *[t for t in turns(x, y, chart.q, declared) if t != at and t > 0], len(y)]
        before_from = max(t - 1 if t else 0 for t in edges if t < at)
        after_to = min(t - 1 for t in edges if t > at)
        before, after = mean_step(x, y, before_from, at - 1), mean_step(x, y, at - 1, after_to)
        # Rounding may show a small break one size beside the place where it is declared.
        reach = 1 if abs(after - before) <= 2 * chart.q + TINY else 0
        beside = set(chart.sizes[max(x[at] - reach, 0) : x[at] + reach + 1])
        new = not beside & (frozenset(row.breaks) or known) and _turns_here(x, y, at, after - before, chart.q)
        if new and abs(after - before) > max(chart.q, BREAK_SHARE * abs(before)) + TINY:
            said = gettext_noop(
                "%(measure)s: the step changes from %(before)s to %(after)s at %(size)s; no break is declared there."
            )
            size = chart.sizes[x[at]]
            says = sentence("undeclared", said, measure=row.name, before=mm(before), after=mm(after), size=size)
            yield Finding("break", row.key, chart.chart, (size,), says, (), (_steps(chart, row),), declare=(size,))


def _turns_here(x: list[int], y: list[float], at: int, apart: float, q: float) -> bool:
    """Whether the step itself changes there, that way; beyond rounding a mean alone is carried by one odd step."""
    local = mean_step(x, y, at - 1, at) - mean_step(x, y, at - 2, at - 1)
    return abs(apart) <= q + TINY or local * apart > TINY


def _missing(chart: Rows, row: Row, x: list[int], y: list[float], declared: list[int]) -> Iterator[Finding]:
    edges = [0, *[at - 1 for at in declared], len(y) - 1]
    for n, at in enumerate(declared, start=1):
        before, after = mean_step(x, y, edges[n - 1], at - 1), mean_step(x, y, at - 1, edges[n + 1])
        bound = chart.q / max(x[at - 1] - x[edges[n - 1]], 1) + chart.q / max(x[edges[n + 1]] - x[at - 1], 1)
        # Only where rounding could not hide a break that is worth one.
        if abs(after - before) <= chart.q / 4 + TINY and bound <= HIDDEN_SHARE * abs(after) + TINY:
            said = gettext_noop("%(measure)s has no break at %(size)s, where one is declared: the step stays %(step)s.")
            size = chart.sizes[x[at]]
            says = sentence("no_break", said, measure=row.name, size=size, step=mm(after))
            yield Finding("break", row.key, chart.chart, (size,), says, (), (_steps(chart, row),))


def end_of_line(x: list[int], y: list[float], at: int) -> float | None:
    """What an end number should be, where all the others lie on one line and it does not."""
    rest = y[1:] if at == 0 else y[:-1]
    step = rest[1] - rest[0]
    if step == 0 or any(abs(b - a - step) > TINY for a, b in pairwise(rest)):
        return None
    should = rest[0] - step if at == 0 else rest[-1] + step
    return should if abs(y[at] - should) > TINY else None

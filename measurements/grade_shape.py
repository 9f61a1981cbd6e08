"""Crossing, step ratios and lengths: what the shape of one chart says, whatever body or garment it is."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from measurements.grade_rows import Row, Rows, mm
from measurements.grade_series import TINY
from measurements.grade_types import Finding
from measurements.sentences import Sentence, gettext_noop, sentence

# Growth over the whole range, beside the bust's (common practice, no source; published charts stray far): outside it is
# worth a note.
RATIOS = {"waist": (0.6, 1.3), "hip": (0.6, 1.2), "upper_arm": (0.25, 0.40)}
# A ratio that is out by this factor is no way of grading any more, and a finding.
ABSURD = 1.5
# Centre back a size, in cm: a size is not a height. A skirt's length, and a whole length with both (common
# practice, no source).
CENTRE_BACK = (0.3, 0.65)
SKIRT_MOST = 1.0
WHOLE_MOST = 1.65


def crossing(chart: Rows) -> Iterator[Finding]:
    """Circumferences that do not grow: in the nest their edges meet. Nothing is tolerated."""
    for row in chart:
        if not row.round:
            continue
        x, y = row.filled
        for k, (small, large) in enumerate(pairwise(y)):
            if large - small > TINY:
                continue
            same = gettext_noop("%(measure)s does not grow from %(small)s to %(large)s: both are %(is)s.")
            less = gettext_noop("%(measure)s shrinks from %(small)s to %(large)s: %(before)s, then %(is)s.")
            sizes = (chart.sizes[x[k]], chart.sizes[x[k + 1]])
            says = sentence(
                "crossing", less if small - large > TINY else same, measure=row.name, small=sizes[0], large=sizes[1],
                before=mm(small), **{"is": mm(large)},
            )  # fmt: skip
            yield Finding("crossing", row.key, chart.chart, sizes, says, (), (chart.evidence(str(row.name), row.cm),))


def ratios(chart: Rows) -> tuple[list[Finding], list[Sentence]]:
    """Growth beside the bust's: a note where it strays, a finding only where it is absurd."""
    findings: list[Finding] = []
    notes: list[Sentence] = []
    bust = chart.known("bust")
    for key, (low, high) in RATIOS.items():
        row = chart.known(key)
        grown = _grown(bust, row) if bust and row else None
        if row is None or grown is None or low - 0.005 <= grown <= high + 0.005:
            continue
        said = gettext_noop(
            "%(measure)s grows %(ratio)s of the bust over the range; %(low)s to %(high)s is usual, and charts stray."
        )
        says = sentence("ratio", said, measure=row.name, ratio=f"{grown:.2f}", low=f"{low:g}", high=f"{high:g}")
        notes.append(says)
        if not low / ABSURD <= grown <= high * ABSURD:
            evidence = (chart.evidence(str(row.name), row.cm), chart.evidence("Bust", bust.cm if bust else ()))
            findings.append(Finding("ratio", row.key, chart.chart, chart.sizes, says, (), evidence))
    return findings, notes


def _grown(bust: Row, row: Row) -> float | None:
    both = [(a, b) for a, b in zip(bust.cm, row.cm, strict=True) if a is not None and b is not None]
    if len(both) < 3 or both[-1][0] - both[0][0] <= TINY:
        return None
    return (both[-1][1] - both[0][1]) / (both[-1][0] - both[0][0])


def lengths(chart: Rows, kind: str) -> Iterator[Finding]:
    """Lengths that grow as if a larger size were a taller person."""
    for row in chart:
        limits = _limits(chart, row, kind)
        if limits is None:
            continue
        x, y = row.filled
        for run in _runs(x, y, limits, chart.q):
            yield _length(chart, row, x, y, run, limits)


def _limits(chart: Rows, row: Row, kind: str) -> tuple[float, float] | None:
    if row.known in {"back_length", "back_waist"}:
        # A body chart may keep one back for all: only the garment must follow.
        return (CENTRE_BACK[0] if chart.chart == "finished" else 0.0, CENTRE_BACK[1])
    words = str(row.name).lower()
    if (
        row.known == "side_length"
        or ("skirt" in words and "length" in words)
        or (row.known == "length" and "skirt" in kind)
    ):
        return 0.0, SKIRT_MOST
    return (0.0, WHOLE_MOST) if row.known == "length" else None


def _runs(x: list[int], y: list[float], limits: tuple[float, float], q: float) -> Iterator[list[int]]:
    """Stretches of steps above the most or below the least, together by more than rounding. Last places of steps."""
    for way, limit in ((1, limits[1]), (-1, limits[0])):
        run: list[int] = []
        for k in range(1, len(y) + 1):
            over = k < len(y) and way * ((y[k] - y[k - 1]) / (x[k] - x[k - 1]) - limit) > TINY
            if over:
                run.append(k)
                continue
            if run and way * (y[run[-1]] - y[run[0] - 1] - limit * (x[run[-1]] - x[run[0] - 1])) > q + TINY:
                yield run
            run = []


def _length(
    chart: Rows, row: Row, x: list[int], y: list[float], run: list[int], limits: tuple[float, float]
) -> Finding:
    low, high = limits
    start = run[0] - 1
    step = (y[run[-1]] - y[start]) / (x[run[-1]] - x[start])
    much = gettext_noop(
        "%(measure)s grows %(step)s a size from %(first)s to %(last)s, more than %(limit)s: a size is not a height."
    )
    little = gettext_noop("%(measure)s grows %(step)s a size from %(first)s to %(last)s, less than %(limit)s.")
    says = sentence(
        "length", much if step > high else little, measure=row.name, step=mm(step), first=chart.sizes[x[start]],
        last=chart.sizes[x[run[-1]]], limit=mm(high if step > high else low),
    )  # fmt: skip
    kept = min(max(step, low), high)
    proposed = {x[k]: y[start] + kept * (x[k] - x[start]) for k in run}
    sizes = tuple(chart.sizes[x[k]] for k in run)
    return Finding(
        "length", row.key, chart.chart, sizes, says, chart.proposals(proposed), (chart.evidence(str(row.name), row.cm),)
    )

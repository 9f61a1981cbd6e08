"""The hem's sweep, getting into the garment, and the base size as it was sewn."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from measurements.grade_rows import Row, Rows, mm
from measurements.grade_series import TINY
from measurements.grade_types import Finding, GradeFacts, NotRun
from measurements.sentences import gettext_noop, sentence

# In cm (common practice, no source). An unvented straight skirt: room to step. A closed place over the bust, a closed
# neck over the head, the foot of an opening over the hip. The base in the nest beside the base that was sewn.
STRIDE = 10.0
OVER_BODY = 2.0
NECK_CLOSED = 58.0
BASE_APART = 0.1
# A row called opening this near to the hip, and nearer, is a girth; a zip is shorter.
ROUND_HIP = 0.75
_VENTED = re.compile(r"(?<!un)vent|slit|pleat")
PLACES = ("bust", "waist", "high_hip", "hip", "sweep")

Found = Iterator[Finding | NotRun]

_HEAD = gettext_noop(
    "%(sizes)s: a closed neck must pass the head: %(measure)s is %(is)s at %(size)s, and needs %(least)s."
)
_PULLED = gettext_noop(
    "%(sizes)s: pulled over the head, the garment must pass bust and shoulders: %(measure)s is %(is)s at %(size)s, and"
    " needs %(least)s."
)
_STEPPED = gettext_noop(
    "%(sizes)s: stepped into, the foot of the opening must pass the hip: %(measure)s is %(is)s at %(size)s, and needs"
    " %(least)s."
)


def sweep(finished: Rows, body: Rows | None, facts: GradeFacts) -> Found:
    """The hem keeps up with the hip, and a straight skirt lets a person walk."""
    hem = finished.known("sweep")
    hip = body.known("hip") if body else None
    of = body if hip and body else finished
    hip = hip or finished.known("hip")
    if hem is None or hip is None:
        yield NotRun("sweep", sentence("no_sweep", gettext_noop("There is no sweep beside a hip.")))
        return
    hips = {i: value for i, size in enumerate(finished.sizes) if (value := of.value(hip, size)) is not None}
    over = {i: value - hips[i] for i, value in enumerate(hem.cm) if value is not None and i in hips}
    yield from _sweep_steps(finished, hem, hip, over, hips, max(finished.q, of.q))
    if "skirt" in facts.kind and of is body and not _VENTED.search(f"{facts.kind} {facts.opening}"):
        yield from _straight(finished, hem, over, hips)


def _sweep_steps(
    chart: Rows, hem: Row, hip: Row, over: dict[int, float], hips: dict[int, float], q: float
) -> Iterator[Finding]:
    most, off = -math.inf, {}
    for i, value in over.items():
        if value < most - q - TINY:
            off[i] = most
        most = max(most, value)
    if not off:
        return
    first, last = min(over), max(over)
    said = gettext_noop(
        "%(measure)s grows less than the hip: over the range %(grown)s, the hip %(hip)s. It falls behind at %(size)s."
    )
    says = sentence(
        "sweep", said, measure=hem.name, size=chart.sizes[min(off)],
        grown=mm((hem.cm[last] or 0.0) - (hem.cm[first] or 0.0)), hip=mm(hips[last] - hips[first]),
    )  # fmt: skip
    proposed = chart.proposals({i: hips[i] + most for i, most in off.items()})
    lines = (
        chart.evidence(str(hem.name), hem.cm),
        chart.evidence("Hip", [hips.get(i) for i in range(len(chart.sizes))]),
    )
    yield Finding("sweep", hem.key, chart.chart, tuple(chart.sizes[i] for i in off), says, proposed, lines)


def _straight(chart: Rows, hem: Row, over: dict[int, float], hips: dict[int, float]) -> Iterator[Finding]:
    off = [i for i, value in over.items() if value < STRIDE - TINY]
    if not off:
        return
    said = gettext_noop(
        "%(sizes)s: the sweep is only %(is)s more than the body's hip. Without a vent a straight skirt needs"
        " %(least)s to step out."
    )
    sizes = tuple(chart.sizes[i] for i in off)
    least = min(over[i] for i in off)
    says = sentence("stride", said, sizes=", ".join(sizes), least=mm(STRIDE), **{"is": mm(least)})
    proposed = chart.proposals({i: hips[i] + STRIDE for i in off})
    yield Finding("sweep", hem.key, chart.chart, sizes, says, proposed, (chart.evidence(str(hem.name), hem.cm),))


def opening(finished: Rows, body: Rows | None, facts: GradeFacts) -> Found:
    """Whether a person gets in: over the head through every closed place, or stepping in at the opening's foot."""
    way = facts.opening
    if not way:
        yield NotRun("opening", sentence("no_opening", gettext_noop("How one gets into the garment is not said.")))
        return
    row = finished.named(way)
    if any(word in way for word in ("over", "pull", "none", "closed")):
        yield from _overhead(finished, body, facts)
    elif "step" in way or row is not None or facts.foot:
        yield from _stepped(finished, body, facts, row)


def _overhead(finished: Rows, body: Rows | None, facts: GradeFacts) -> Found:
    neck = finished.known("neck_opening") or (None if facts.knit else finished.known("neck_edge"))
    if neck:
        need = dict.fromkeys(range(len(finished.sizes)), NECK_CLOSED)
        yield from _narrow(finished, neck, need, _HEAD)
    bust = body.known("bust") if body else None
    if body is None or bust is None:
        said = gettext_noop("The body chart has no bust to pull the garment over.")
        yield NotRun("opening", sentence("no_bust", said))
        return
    if facts.knit:
        said = gettext_noop("A knit stretches over the body: only its neck was checked.")
        yield NotRun("opening", sentence("knit_opening", said))
        return
    around = body.named("shoulder girth") or body.named("shoulder circumference")
    need = {}
    for i, size in enumerate(finished.sizes):
        values = [body.value(row, size) for row in (bust, around) if row]
        asked = [value + (OVER_BODY if n == 0 else 0.0) for n, value in enumerate(values) if value is not None]
        if asked:
            need[i] = max(asked)
    for key in PLACES:
        if row := finished.known(key):
            yield from _narrow(finished, row, need, _PULLED)


def _stepped(finished: Rows, body: Rows | None, facts: GradeFacts, named: Row | None) -> Found:
    foot = finished.called(facts.foot) if facts.foot else None
    foot = foot or (named if named and named.known != "opening" else None)
    hip = body.known("hip") if body else None
    foot = foot or finished.named("opening foot") or finished.named("foot of opening")
    foot = foot or _girth_of_opening(finished, body, hip) or finished.known("hip")
    if foot is None or hip is None or body is None:
        said = gettext_noop("No girth at the foot of the opening, or no hip in the body chart to step in with.")
        yield NotRun("opening", sentence("no_foot", said))
        return
    need = {
        i: value + OVER_BODY for i, size in enumerate(finished.sizes) if (value := body.value(hip, size)) is not None
    }
    yield from _narrow(finished, foot, need, _STEPPED)


def _girth_of_opening(finished: Rows, body: Rows | None, hip: Row | None) -> Row | None:
    """The row of the opening, where it is no zip's length but goes round the hip."""
    row = finished.known("opening")
    if row is None or body is None or hip is None:
        return None
    both = [(value, body.value(hip, size)) for value, size in zip(row.cm, finished.sizes, strict=True)]
    round_it = [value >= ROUND_HIP * around for value, around in both if value is not None and around is not None]
    return row if round_it and all(round_it) else None


def _narrow(chart: Rows, row: Row, need: dict[int, float], said: str) -> Iterator[Finding]:
    off = {i: need[i] for i, value in enumerate(row.cm) if value is not None and i in need and value < need[i] - TINY}
    if not off:
        return
    worst = max(off, key=lambda i: off[i] - (row.cm[i] or 0.0))
    sizes = tuple(chart.sizes[i] for i in off)
    says = sentence(
        "opening", said, sizes=", ".join(sizes), measure=row.name, size=chart.sizes[worst],
        least=mm(off[worst]), **{"is": mm(row.cm[worst] or 0.0)},
    )  # fmt: skip
    proposed = chart.proposals({i: math.ceil(value / chart.q - TINY) * chart.q for i, value in off.items()})
    yield Finding("opening", row.key, chart.chart, sizes, says, proposed, (chart.evidence(str(row.name), row.cm),))


def base_sewn(chart: Rows, facts: GradeFacts) -> Found:
    """The base size in the nest is the base that was sewn."""
    if not facts.base_sewn:
        yield NotRun("base", sentence("no_sewn", gettext_noop("What the sewn base size measures is not said.")))
        return
    base = facts.base or chart.base
    if chart.place(base) is None or base is None:
        yield NotRun("base", sentence("no_base", gettext_noop("No base size is said, or the chart does not have it.")))
        return
    apart = BASE_APART if chart.unit != "in" else max(BASE_APART, chart.q / 2)
    for name, sewn in facts.base_sewn.items():
        row = chart.called(name)
        value = chart.value(row, base) if row else None
        if row is None or value is None:
            said = gettext_noop("The chart has no “%(measure)s” in the base size.")
            yield NotRun("base", sentence("no_base_row", said, measure=name))
        elif abs(value - sewn) > apart + TINY:
            said = gettext_noop(
                "%(size)s: %(measure)s is %(is)s in the nest; the base that was sewn measures %(sewn)s."
            )
            says = sentence("base", said, size=base, measure=row.name, sewn=mm(sewn), **{"is": mm(value)})
            yield Finding(
                "base",
                row.key,
                chart.chart,
                (base,),
                says,
                ((base, mm(sewn)),),
                (chart.evidence(str(row.name), row.cm),),
            )

"""Seams that must match in every size: sleeve cap and armhole, declared pairs, shoulders, gathers."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from measurements.grade_rows import Row, Rows, mm
from measurements.grade_series import TINY
from measurements.grade_types import Finding, GradeFacts, NotRun
from measurements.sentences import gettext_noop, sentence

# Cap seam minus armhole, in cm (common practice, no source): a woven set-in sleeve, a shirt's, a knit's; a woven that
# is not named.
CAP = {"set-in": (1.5, 3.5), "shirt": (0.0, 1.2), "knit": (0.0, 0.6), "woven": (0.0, 3.5)}
CAP_APART = 0.4
SEAMS_APART = 0.15
# Back shoulder minus front, without a dart.
SHOULDER = (0.0, 1.2)
GATHER_SHARE = 0.03

Found = Iterator[Finding | NotRun]


def _difference(chart: Rows, one: Row, other: Row) -> dict[int, float]:
    pairs = enumerate(zip(one.cm, other.cm, strict=True))
    return {i: a - b for i, (a, b) in pairs if a is not None and b is not None}


def _usual(chart: Rows, differences: dict[int, float], base: str | None) -> float:
    place = chart.place(base or chart.base)
    return differences[place] if place in differences else median(differences.values())


def _sizes(chart: Rows, places: list[int]) -> tuple[str, ...]:
    return tuple(chart.sizes[place] for place in places)


def _said(sizes: tuple[str, ...]) -> str:
    return ", ".join(sizes)


def cap(chart: Rows, facts: GradeFacts) -> Found:
    """The ease that a sleeve cap holds over its armhole, in its range and even across sizes."""
    sleeve, hole = chart.known("cap_seam"), chart.known("armhole")
    if sleeve is None or hole is None:
        yield NotRun("cap", sentence("no_cap", gettext_noop("There is no sleeve cap seam beside an armhole.")))
        return
    held = _difference(chart, sleeve, hole)
    if not held:
        yield NotRun("cap", sentence("cap_apart", gettext_noop("Sleeve cap and armhole have no size in common.")))
        return
    low, high = CAP[_sleeve(facts)]
    if not facts.kind and not facts.fabric:
        said = gettext_noop("Kind and fabric are not said: the sleeve cap was only held to 0 to 3.5 cm.")
        yield NotRun("cap", sentence("cap_kind", said))
    outside = [i for i, value in held.items() if not low - TINY <= value <= high + TINY]
    if outside:
        worst = max(outside, key=lambda i: abs(held[i] - (low + high) / 2))
        said = gettext_noop(
            "%(sizes)s: the sleeve cap is %(held)s longer than the armhole at %(size)s; right is %(low)s to %(high)s."
        )
        says = sentence(
            "cap", said, sizes=_said(_sizes(chart, outside)), held=mm(held[worst]), size=chart.sizes[worst],
            low=mm(low), high=mm(high),
        )  # fmt: skip
        yield _cap(chart, sleeve, hole, held, outside, says, lambda i: min(max(held[i], low), high))
    usual = _usual(chart, {i: held[i] for i in held if i not in outside} or held, facts.base)
    uneven = [
        i for i, value in held.items() if i not in outside and abs(value - usual) > max(CAP_APART, chart.q) + TINY
    ]
    if uneven:
        worst = max(uneven, key=lambda i: abs(held[i] - usual))
        said = gettext_noop(
            "%(sizes)s: the sleeve cap holds %(held)s over the armhole at %(size)s, other sizes %(usual)s: more"
            " than %(apart)s apart."
        )
        says = sentence(
            "cap_uneven", said, sizes=_said(_sizes(chart, uneven)), held=mm(held[worst]), size=chart.sizes[worst],
            usual=mm(usual), apart=mm(CAP_APART),
        )  # fmt: skip
        yield _cap(chart, sleeve, hole, held, uneven, says, lambda i: usual)


def _sleeve(facts: GradeFacts) -> str:
    if facts.knit:
        return "knit"
    if "shirt" in facts.kind:
        return "shirt"
    return "set-in" if facts.kind else "woven"


def _cap(chart, sleeve, hole, held, places, says, kept) -> Finding:  # type: ignore[no-untyped-def]
    values = [held.get(i) for i in range(len(chart.sizes))]
    lines = (chart.evidence(gettext_noop("Cap minus armhole"), values), chart.evidence(str(sleeve.name), sleeve.cm))
    proposed = chart.proposals({i: hole.cm[i] + kept(i) for i in places})
    return Finding("cap", sleeve.key, chart.chart, _sizes(chart, places), says, proposed, lines)


def pairs(chart: Rows, facts: GradeFacts) -> Found:
    """Seams that are sewn together: as long as each other, or longer by what is eased in."""
    for name, other_name, by in facts.pairs:
        one, other = chart.called(name), chart.called(other_name)
        if one is None or other is None:
            missing = name if one is None else other_name
            yield NotRun("pair", sentence("no_row", NO_ROW, measure=missing, sizes=f"{name}, {other_name}"))
            continue
        apart = _difference(chart, one, other)
        if by and apart and abs(median(apart.values()) + by) < abs(median(apart.values()) - by):
            one, other, apart = other, one, {i: -value for i, value in apart.items()}
        yield from _pair(chart, one, other, apart, by)
    if not facts.pairs:
        yield NotRun("pair", sentence("no_pairs", gettext_noop("No seam pairs are declared.")))
    yield from _shoulders(chart, facts)


NO_ROW = gettext_noop("The chart has no row “%(measure)s” (declared: %(sizes)s).")


def _pair(chart: Rows, one: Row, other: Row, apart: dict[int, float], by: float) -> Iterator[Finding]:
    off = [i for i, value in apart.items() if abs(value - by) > SEAMS_APART + TINY]
    if not off:
        return
    worst = max(off, key=lambda i: abs(apart[i] - by))
    alike = gettext_noop(
        "%(sizes)s: %(measure)s and %(other)s are sewn together, but differ by %(is)s at %(size)s; at most %(apart)s."
    )
    eased = gettext_noop(
        "%(sizes)s: %(measure)s should be %(by)s longer than %(other)s, but is %(is)s longer at %(size)s; off by more"
        " than %(apart)s."
    )
    says = sentence(
        "pair", eased if by else alike, sizes=_said(_sizes(chart, off)), measure=one.name, other=other.name, by=mm(by),
        size=chart.sizes[worst], apart=mm(SEAMS_APART), **{"is": mm(apart[worst] if by else abs(apart[worst]))},
    )  # fmt: skip
    lines = (chart.evidence(str(one.name), one.cm), chart.evidence(str(other.name), other.cm))
    wrong, mended = one, {i: (other.cm[i] or 0.0) + by for i in off}
    if sum(_uneven(other, i) for i in off) > sum(_uneven(one, i) for i in off) + TINY:
        wrong, mended = other, {i: (one.cm[i] or 0.0) - by for i in off}
    yield Finding("pair", wrong.key, chart.chart, _sizes(chart, off), says, chart.proposals(mended), lines)


def _uneven(row: Row, at: int) -> float:
    """How far a length lies from the middle of its two neighbours; nothing at an end or beside a gap."""
    before, value, after = row.at(at - 1), row.at(at), row.at(at + 1)
    return 0.0 if before is None or value is None or after is None else abs(value - (before + after) / 2)


def _shoulders(chart: Rows, facts: GradeFacts) -> Iterator[Finding]:
    """Back shoulder minus front: a little longer, by the same in every size. A dart row is taken off the back."""
    back, front = _shoulder(chart, "back"), _shoulder(chart, "front")
    declared = {row.key for a, b, _ in facts.pairs for row in (chart.called(a), chart.called(b)) if row}
    if back is None or front is None or {back.key, front.key} <= declared:
        return
    dart = next((row for row in chart if {"shoulder", "dart"} <= set(row.key.split("_"))), None)
    eased = _difference(chart, back, front)
    if dart:
        eased = {i: value - (dart.cm[i] or 0.0) for i, value in eased.items()}
    if not eased:
        return
    usual, (low, high) = _usual(chart, eased, facts.base), SHOULDER
    off = [
        i for i, value in eased.items()
        if not low - TINY <= value <= high + TINY or abs(value - usual) > SEAMS_APART + TINY
    ]  # fmt: skip
    if not off:
        return
    worst = max(off, key=lambda i: abs(eased[i] - usual))
    said = gettext_noop(
        "%(sizes)s: the back shoulder is %(held)s longer than the front at %(size)s; without a dart it is %(low)s to"
        " %(high)s, and the same in every size."
    )
    says = sentence(
        "shoulders", said, sizes=_said(_sizes(chart, off)), held=mm(eased[worst]), size=chart.sizes[worst],
        low=mm(low), high=mm(high),
    )  # fmt: skip
    kept = min(max(usual, low), high)
    proposed = chart.proposals({i: (back.cm[i] or 0.0) - eased[i] + kept for i in off})
    lines = (chart.evidence(str(back.name), back.cm), chart.evidence(str(front.name), front.cm))
    yield Finding("pair", back.key, chart.chart, _sizes(chart, off), says, proposed, lines)


def _shoulder(chart: Rows, side: str) -> Row | None:
    return next(
        (row for row in chart if {side, "shoulder"} <= (words := set(row.key.split("_"))) and "dart" not in words), None
    )


def gathers(chart: Rows, facts: GradeFacts) -> Found:
    """Gathered edges: the same fullness in every size. The same centimetres thin it as the size grows."""
    for name, sewn_name, ratio in facts.gathers:
        loose, sewn = chart.called(name), chart.called(sewn_name)
        if loose is None or sewn is None:
            missing = name if loose is None else sewn_name
            yield NotRun("gather", sentence("no_row", NO_ROW, measure=missing, sizes=f"{name}, {sewn_name}"))
            continue
        full = {i: a / b for i, (a, b) in enumerate(zip(loose.cm, sewn.cm, strict=True)) if a and b}
        wanted = ratio or (_usual(chart, full, facts.base) if full else 0.0)
        off = [i for i, value in full.items() if abs(value / wanted - 1) > GATHER_SHARE + TINY]
        if off:
            yield _gather(chart, loose, sewn, full, wanted, off)
    if not facts.gathers:
        yield NotRun("gather", sentence("no_gathers", gettext_noop("No gathers are declared.")))


def _gather(chart: Rows, loose: Row, sewn: Row, full: dict[int, float], wanted: float, off: list[int]) -> Finding:
    worst = max(off, key=lambda i: abs(full[i] - wanted))
    said = gettext_noop(
        "%(sizes)s: %(measure)s is gathered %(is)s to 1 onto %(other)s at %(size)s; %(ratio)s is meant, within 3 %%."
    )
    says = sentence(
        "gather", said, sizes=_said(_sizes(chart, off)), measure=loose.name, other=sewn.name, size=chart.sizes[worst],
        ratio=f"{wanted:.2f}", **{"is": f"{full[worst]:.2f}"},
    )  # fmt: skip
    proposed = chart.proposals({i: (sewn.cm[i] or 0.0) * wanted for i in off})
    lines = (chart.evidence(str(loose.name), loose.cm), chart.evidence(str(sewn.name), sewn.cm))
    return Finding("gather", loose.key, chart.chart, _sizes(chart, off), says, proposed, lines)

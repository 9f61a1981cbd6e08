"""What a pattern is, from its charts and what was asked: the facts that size advice goes by.

Lengths are Decimals in mm. Method and limits: docs/algorithms/size-advice.md.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from measurements.advice_text import EaseAsked, Share
from measurements.charts import ChartTable
from measurements.ease import LEAST_EASE_MM
from measurements.finished_measures import FINISHED_MEASURES
from measurements.size_advice_types import Fabric, PatternFacts, Row

# The ease of a garment of which nothing is said (common practice, no source): a straight dress in woven cloth,
# a close top in knit, which is judged at the bust alone.
USUAL_EASE: dict[Fabric, dict[str, EaseAsked]] = {
    "woven": {"bust": Decimal(60), "waist": Decimal(40), "hip": Decimal(70)},
    "knit": {"bust": Share(Decimal(-4))},
}
# The girths that a garment can be fitted at, in the order in which they are told.
FITTED_GIRTHS = ("bust", "waist", "hip", "high_hip", "upper_arm", "thigh")


@dataclass(frozen=True)
class Asked:
    """What is said of the garment besides its chart: `ease` a place, `least` ease, places that are `free`."""

    ease: Mapping[str, EaseAsked] = field(default_factory=dict)
    finished: ChartTable | None = None
    least: Mapping[str, Decimal] = field(default_factory=dict)
    free: Collection[str] = ()
    fabric: Fabric = "woven"

    @property
    def is_told(self) -> bool:
        """Whether anything is known of the garment's own measurements."""
        return bool(self.ease) or self.finished is not None


def by_body_measure(finished: Mapping[str, Row]) -> dict[str, Row]:
    """Finished rows under the body measurement each is compared with; of several rows the first."""
    found: dict[str, Row] = {}
    for key, row in finished.items():
        body = FINISHED_MEASURES[key].body if key in FINISHED_MEASURES else None
        if body is not None:
            found.setdefault(body, row)
    return found


def facts_for(chart: ChartTable, asked: Asked, places: Iterable[str]) -> PatternFacts:
    """The facts for bodies of which these places are known.

    A garment that is told only at waist and hip hangs from the waist; of one that is not told at all, the body's own
    places say whether it is to cover a bust.
    """
    known = set(places)
    rows: dict[str, Row] = {line.key: line.mm for line in chart.lines}
    finished = _finished(chart, asked.finished)
    ease = asked.ease if asked.is_told else USUAL_EASE[asked.fabric]
    told = {*ease, *finished}
    covered = told if asked.is_told else {place for place in told if place in known and place in rows}
    shares = {place: _shared(rows[place], by) for place, by in ease.items() if isinstance(by, Share) and place in rows}
    return PatternFacts(
        chart.sizes,
        rows,
        {**shares, **finished},
        {place: by for place, by in ease.items() if isinstance(by, Decimal)},
        kind=_kind(covered or known),
        fabric=asked.fabric,
        fitted=tuple(place for place in FITTED_GIRTHS if place in covered and place not in asked.free),
        least_ease={**LEAST_EASE_MM, **asked.least},
    )


def _finished(chart: ChartTable, finished: ChartTable | None) -> dict[str, Row]:
    """The finished chart in the sizes of the body chart, matched by label."""
    if finished is None:
        return {}
    labels = {label.casefold(): i for i, label in enumerate(finished.sizes)}
    at = [labels.get(size.casefold()) for size in chart.sizes]
    lines = {line.key: line.mm for line in finished.lines}
    rows = {key: tuple(None if i is None else mm[i] for i in at) for key, mm in lines.items()}
    return by_body_measure({key: row for key, row in rows.items() if any(mm is not None for mm in row)})


def _shared(row: Row, share: Share) -> Row:
    return tuple(None if mm is None else share.of(mm) for mm in row)


def _kind(places: Collection[str]) -> str:
    if "bust" in places or "high_bust" in places:
        return "bodice"
    if "waist" in places or "hip" in places:
        return "skirt"
    return "sleeve" if "upper_arm" in places else "bodice"

"""One body on one pattern: where a measurement falls on the chart, and what a size leaves at a place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from measurements.size_advice_types import EaseLeft, PatternFacts, Preference

# All common practice, no source.
# Bust minus high bust further than this from the draft's own sends the choice to the high bust, so that
# neck and shoulder fit.
CUP_LIMIT_MM = Decimal(25)
# Between two sizes, up to this share of the way it is the smaller, from the other on the larger.
SMALLER_UP_TO = Decimal("0.35")
LARGER_FROM = Decimal("0.65")
# A chart of one size has no step; this is half of the commonest one.
LONE_HALF_STEP_MM = Decimal(20)


@dataclass(frozen=True)
class Spot:
    """A measurement on its row of the chart: on or past `lower`, `share` of the way to `upper`."""

    lower: int
    upper: int | None = None
    share: Decimal = Decimal(0)
    outside: bool = False

    @property
    def undecided(self) -> bool:
        return self.upper is not None and SMALLER_UP_TO < self.share < LARGER_FROM

    @property
    def nearest(self) -> int:
        return self.lower if self.upper is None or self.share < LARGER_FROM else self.upper


@dataclass(frozen=True)
class Case:
    """One body and one pattern, and what of them decides."""

    body: Mapping[str, Decimal]
    facts: PatternFacts
    preference: Preference

    @property
    def cup_off(self) -> Decimal | None:
        """How far the cup is from the drafted one, when it is too far for the bust to choose the size."""
        if self.facts.primary != "bust" or self.facts.cup_mm is None or not {"bust", "high_bust"} <= set(self.body):
            return None
        off = self.body["bust"] - self.body["high_bust"] - self.facts.cup_mm
        return off if abs(off) > CUP_LIMIT_MM else None

    @property
    def chooser_mm(self) -> Decimal:
        """The length that is looked up on the chart's row of the primary measurement."""
        if self.cup_off is None or self.facts.cup_mm is None:
            return self.body[self.facts.primary]
        return self.body["high_bust"] + self.facts.cup_mm

    @property
    def holding(self) -> tuple[str, ...]:
        """The fitted places that must keep their least ease; a bust that will be changed is none of them."""
        if self.facts.fabric == "knit":
            return ()
        changed = "bust" if self.cup_off is not None else None
        return tuple(place for place in self.facts.fitted if place != changed and place in self.facts.least_ease)

    def left(self, place: str, index: int) -> EaseLeft | None:
        finished = self.facts.finished_at(place, index)
        if finished is None or place not in self.body:
            return None
        least = self.facts.least_ease.get(place) if self.facts.fabric == "woven" else None
        return EaseLeft(place, self.facts.sizes[index], self.body[place], finished, least)

    def short_at(self, places: tuple[str, ...], index: int, extra: Decimal = Decimal(0)) -> EaseLeft | None:
        """The first place that does not keep its least ease and `extra` in this size; unknown places keep it."""
        for place in places:
            left = self.left(place, index)
            if left and left.mm < self.facts.least_ease[place] + extra:
                return left
        return None


def find_spot(facts: PatternFacts, place: str, mm: Decimal) -> Spot | None:
    """Where a length falls on a row; None when the row is empty. More than half a step past an end is outside."""
    row = [(i, value) for i in range(len(facts.sizes)) if (value := facts.body_at(place, i)) is not None]
    if not row:
        return None
    (first, low), (last, high) = row[0], row[-1]
    below = (row[1][1] - low) / 2 if len(row) > 1 else LONE_HALF_STEP_MM
    above = (high - row[-2][1]) / 2 if len(row) > 1 else LONE_HALF_STEP_MM
    if mm <= low:
        return Spot(first, outside=mm < low - below)
    if mm >= high:
        return Spot(last, outside=mm > high + above)
    at = max(k for k, (_, value) in enumerate(row) if value <= mm)
    (lower, start), (upper, end) = row[at], row[at + 1]
    return Spot(lower, upper, (mm - start) / (end - start)) if mm > start else Spot(lower)

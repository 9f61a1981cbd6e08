"""One body on one pattern: where a measurement falls on the chart, and what a size leaves at a place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from itertools import pairwise

from measurements.size_advice_types import EaseLeft, PatternFacts, Preference

# All common practice, no source.
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

    @cached_property
    def shouldered_mm(self) -> Decimal | None:
        """The bust that the draft has over this body's high bust, where the bust would choose the size."""
        if self.facts.primary != "bust" or "bust" not in self.body or "high_bust" not in self.body:
            return None
        return self.facts.drafted_bust(self.body["high_bust"])

    @cached_property
    def cup_off(self) -> Decimal | None:
        """How far the cup is from the drafted one, when it is too far for the bust to choose the size."""
        if self.shouldered_mm is None:
            return None
        off = self.body["bust"] - self.shouldered_mm
        return off if abs(off) > self.facts.rules.cup_limit_mm else None

    @property
    def chooser_mm(self) -> Decimal:
        """The length that is looked up on the chart's row of the primary measurement."""
        if self.cup_off is None or self.shouldered_mm is None:
            return self.body[self.facts.primary]
        return self.shouldered_mm

    @cached_property
    def holding(self) -> tuple[str, ...]:
        """The fitted places that must keep their least ease; a bust that will be changed is none of them."""
        if self.facts.fabric == "knit":
            return ()
        changed = "bust" if self.cup_off is not None else None
        return tuple(place for place in self.facts.fitted if place != changed and place in self.facts.least_ease)

    def left(self, place: str, index: int) -> EaseLeft | None:
        """What a size leaves at a place; None where the body or the garment is not known there."""
        if (place, index) not in self._left:
            self._left[place, index] = self._left_at(place, index)
        return self._left[place, index]

    # The same places are asked about by the choice, the blends and the reasons.
    @cached_property
    def _left(self) -> dict[tuple[str, int], EaseLeft | None]:
        return {}

    def _left_at(self, place: str, index: int) -> EaseLeft | None:
        finished = self.facts.finished_at(place, index)
        body = self.body.get(place)
        if finished is None or body is None:
            return None
        least = self.facts.least_ease.get(place) if self.facts.fabric == "woven" else None
        return EaseLeft(place, self.facts.sizes[index], body, finished, least)

    def short_at(self, places: tuple[str, ...], index: int, extra: Decimal = Decimal(0)) -> EaseLeft | None:
        """The first place that does not keep its least ease and `extra` in this size; unknown places keep it."""
        for place in places:
            left = self.left(place, index)
            if left and left.mm < self.facts.least_ease[place] + extra:
                return left
        return None


def find_spot(facts: PatternFacts, place: str, mm: Decimal) -> Spot | None:
    """Where a length falls on a row; None when the row is empty or falls. Over half a step past an end is outside.

    The step at an end is the nearest one that is not nothing.
    """
    row = facts.known(place)
    if not row or facts.falls(place):
        return None
    (first, low), (last, high) = row[0], row[-1]
    if mm <= low:
        return Spot(first, outside=mm < low and low - mm > _half_step(row))
    if mm >= high:
        return Spot(last, outside=mm > high and mm - high > _half_step(row[::-1]))
    at = next(k for k in range(len(row) - 2, -1, -1) if row[k][1] <= mm)
    (lower, start), (upper, end) = row[at], row[at + 1]
    return Spot(lower, upper, (mm - start) / (end - start)) if mm > start else Spot(lower)


def _half_step(row: tuple[tuple[int, Decimal], ...]) -> Decimal:
    steps = (abs(one - other) for (_, one), (_, other) in pairwise(row))
    return next((step / 2 for step in steps if step), LONE_HALF_STEP_MM)

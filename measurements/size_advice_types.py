"""What size advice takes and gives: the facts of a pattern, and the advice with its evidence.

Lengths are Decimals in mm. A size is a label in an order.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from itertools import pairwise
from typing import Literal

from measurements.ease import LEAST_EASE_MM, worn_stretch_percent
from measurements.sentences import Sentence

Preference = Literal["usual", "closer", "roomier"]
Fabric = Literal["woven", "knit"]
Row = Sequence[Decimal | None]
HANGS_FROM_WAIST = frozenset({"skirt", "trousers"})


@dataclass(frozen=True)
class HoldRules:
    """The limits of size advice that a studio may set (all common practice, no source).

    `comfort_mm`: the smaller of two sizes keeps this much above the least ease. `roomy_mm`: a garment with this much
    ease forgives the smaller size. `cup_limit_mm`: bust minus high bust further than this from the draft's own sends
    the choice to the high bust, so that neck and shoulder fit. `blend_sizes`: a blend across more sizes than
    this wants a toile first.
    """

    comfort_mm: Decimal = Decimal(10)
    roomy_mm: Decimal = Decimal(100)
    cup_limit_mm: Decimal = Decimal(25)
    blend_sizes: int = 2


USUAL_RULES = HoldRules()
Drop = tuple[int, int]


@dataclass(frozen=True)
class PatternFacts:
    """What the pattern is: its sizes, the chart it is drafted to, and what it grants.

    `chart` and `finished` hold a row per body measurement, one value a size (None where unknown). A place without
    a finished row takes the chart's plus `ease`. `fitted` are the places that hold the body; free ones are left out.
    `cup_mm` is the drafted bust minus high bust, where it is one figure for all sizes; else the chart's own rows of
    bust and high bust tell it size by size. `required_stretch` is a per cent; `preference` holds where nobody wishes
    otherwise.
    """

    sizes: tuple[str, ...]
    chart: Mapping[str, Row]
    finished: Mapping[str, Row] = field(default_factory=dict)
    ease: Mapping[str, Decimal] = field(default_factory=dict)
    kind: str = "bodice"
    fabric: Fabric = "woven"
    fitted: Collection[str] = ("bust", "waist")
    least_ease: Mapping[str, Decimal] = field(default_factory=lambda: LEAST_EASE_MM)
    cup_mm: Decimal | None = None
    required_stretch: Decimal | None = None
    rules: HoldRules = USUAL_RULES
    preference: Preference = "usual"

    @property
    def primary(self) -> str:
        """The measurement that chooses the size."""
        if self.kind == "sleeve":
            return "upper_arm"
        if self.kind in HANGS_FROM_WAIST:
            return "hip" if "hip" in self.fitted else "waist"
        return "bust"

    def body_at(self, place: str, index: int) -> Decimal | None:
        row = self.chart.get(place, ())
        return row[index] if index < len(row) else None

    def finished_at(self, place: str, index: int) -> Decimal | None:
        if place not in self._finished:
            self._finished[place] = tuple(self._finished_in(place, i) for i in range(len(self.sizes)))
        return self._finished[place][index]

    def _finished_in(self, place: str, index: int) -> Decimal | None:
        row = self.finished.get(place, ())
        if index < len(row) and row[index] is not None:
            return row[index]
        body = self.body_at(place, index)
        return body + self.ease[place] if body is not None and place in self.ease else None

    def known(self, place: str) -> tuple[tuple[int, Decimal], ...]:
        """The sizes in which the chart has this measurement, as (index, mm)."""
        if place not in self._known:
            row = self.chart.get(place, ())[: len(self.sizes)]
            self._known[place] = tuple((i, mm) for i, mm in enumerate(row) if mm is not None)
        return self._known[place]

    def falls(self, place: str) -> Drop | None:
        """The first two neighbouring sizes between which a row gets smaller: no size can be told by it."""
        if place not in self._falls:
            pairs = pairwise(self.known(place))
            self._falls[place] = next(((i, j) for (i, low), (j, high) in pairs if high < low), None)
        return self._falls[place]

    def drafted_bust(self, high_bust: Decimal) -> Decimal | None:
        """The bust that the draft has over a high bust; None where neither pattern nor chart tells."""
        if self.cup_mm is not None:
            return high_bust + self.cup_mm
        pairs = self._cups
        if not pairs:
            return None
        if high_bust <= pairs[0][0]:
            return high_bust - pairs[0][0] + pairs[0][1]
        for (low, bust), (high, larger) in pairwise(pairs):
            if high_bust <= high and low < high:
                return bust + (larger - bust) * (high_bust - low) / (high - low)
        return high_bust - pairs[-1][0] + pairs[-1][1]

    @cached_property
    def _cups(self) -> tuple[tuple[Decimal, Decimal], ...]:
        """(high bust, bust) of the sizes that have both, where both rows can be used."""
        if self.falls("bust") or self.falls("high_bust"):
            return ()
        bust = dict(self.known("bust"))
        return tuple((mm, bust[i]) for i, mm in self.known("high_bust") if i in bust)

    # Looked up for every body: a table of a thousand asks each of them thousands of times.
    @cached_property
    def _finished(self) -> dict[str, tuple[Decimal | None, ...]]:
        return {}

    @cached_property
    def _known(self) -> dict[str, tuple[tuple[int, Decimal], ...]]:
        return {}

    @cached_property
    def _falls(self) -> dict[str, Drop | None]:
        return {}


@dataclass(frozen=True)
class EaseLeft:
    """What the garment leaves at one place: finished minus this body. `holds` is None where no least ease is set."""

    place: str
    size: str
    body_mm: Decimal
    finished_mm: Decimal
    least_mm: Decimal | None = None

    @property
    def mm(self) -> Decimal:
        return self.finished_mm - self.body_mm

    @property
    def holds(self) -> bool | None:
        return None if self.least_mm is None else self.mm >= self.least_mm

    @property
    def worn_stretch(self) -> Decimal:
        """Per cent by which the garment is stretched when worn."""
        return worn_stretch_percent(self.body_mm, self.finished_mm)


@dataclass(frozen=True)
class Between:
    """Where a measurement falls: on a size (`upper` None), or so far (0 to 1) from the lower to the upper."""

    place: str
    measured_mm: Decimal
    lower: str
    upper: str | None
    share: Decimal


@dataclass(frozen=True)
class Blend:
    """Draw one place to another size. `to_size` is None when no size of the chart holds it."""

    place: str
    to_size: str | None
    sizes_apart: int
    left: EaseLeft | None
    toile_first: bool


@dataclass(frozen=True)
class PatternChange:
    """Add (or take out, when negative) this much at one place of the chosen size."""

    place: str
    mm: Decimal
    optional: bool


@dataclass(frozen=True)
class SizeAdvice:
    """The advised size, or None with the reason. `outside` tells that the chart does not reach this body.

    `by_bust` are the sizes that the bust alone would give, where the high bust chose. When outside, `ease_left`
    is that of the nearest size, which is named by it.
    """

    size: str | None
    outside: bool = False
    between: Between | None = None
    blends: tuple[Blend, ...] = ()
    changes: tuple[PatternChange, ...] = ()
    ease_left: tuple[EaseLeft, ...] = ()
    by_bust: tuple[str, ...] = ()
    reasons: tuple[Sentence, ...] = ()

"""Whom a size chart serves: the share of a sample in its range, the gaps between its sizes, who needs two sizes.

A body takes the nearest size at each measurement, at a tie the smaller. The range reaches half a step beyond its ends.
A size reaches `REACH_MM` to either side; what lies between the reach of two neighbours is a gap. Plain values in,
dataclasses out. Method, limits and a worked example: docs/algorithms/who-is-served.md.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from measurements.body_sample import Sample
from measurements.charts import ChartTable

# So far from a size a body still wears it well: drafted ease less the least ease of bust, waist and hip is 2 cm
# (common practice, no source). Steps of 4 cm leave no gap then.
REACH_MM = Decimal(20)
# Of fewer bodies a share says little, and one of them could be told from it.
LEAST_BODIES = 20
# The girth that chooses a size, the first that chart and sample both have; then what it is held against.
_CHOOSERS = ("bust", "high_bust", "waist")
_SEATS = ("hip", "high_hip", "waist")


@dataclass(frozen=True)
class Scale:
    """One measurement over the sizes that give it, from small to large: labels and millimetres."""

    key: str
    labels: tuple[str, ...]
    mm: tuple[Decimal, ...]

    @property
    def low(self) -> Decimal:
        return self.mm[0] - (self.mm[1] - self.mm[0]) / 2 if len(self.mm) > 1 else self.mm[0] - REACH_MM

    @property
    def high(self) -> Decimal:
        return self.mm[-1] + (self.mm[-1] - self.mm[-2]) / 2 if len(self.mm) > 1 else self.mm[-1] + REACH_MM

    def reaches(self, mm: Decimal) -> bool:
        return self.low <= mm <= self.high

    def nearest(self, mm: Decimal) -> int:
        """The place of the nearest size, at a tie of the smaller."""
        above = min(bisect_left(self.mm, mm), len(self.mm) - 1)
        below = max(above - 1, 0)
        return below if mm - self.mm[below] <= self.mm[above] - mm else above

    def gaps(self) -> Iterator[tuple[int, Decimal, Decimal]]:
        """(place of the lower size, from, to) of every stretch that no size reaches."""
        for i, (below, above) in enumerate(pairwise(self.mm)):
            if above - below > 2 * REACH_MM:
                yield i, below + REACH_MM, above - REACH_MM


@dataclass(frozen=True)
class Range:
    """How many bodies of a sample lie below, within and above a chart at one measurement."""

    key: str
    below: int
    inside: int
    above: int


@dataclass(frozen=True)
class Gap:
    """A stretch between two sizes that neither reaches, and the bodies in it."""

    key: str
    lower: str
    upper: str
    low_mm: Decimal
    high_mm: Decimal
    bodies: int


@dataclass(frozen=True)
class SizeShare:
    label: str
    bodies: int


@dataclass(frozen=True)
class TwoSizes:
    """Bodies in range at both measurements, by how far apart the sizes are that the two give.

    `forgiven` are those of different sizes whom the first size serves at the second measurement all the same.
    """

    first: str
    second: str
    same: int
    one_apart: int
    further: int
    forgiven: int

    @property
    def needed(self) -> int:
        return self.one_apart + self.further - self.forgiven


@dataclass(frozen=True)
class Served:
    """The evidence: of `bodies` measured at every one of `places`, how many are in range, where, and in which size."""

    bodies: int
    left_out: int
    places: tuple[str, ...]
    in_range: int
    ranges: tuple[Range, ...]
    sizes: tuple[SizeShare, ...]
    gaps: tuple[Gap, ...]
    two: TwoSizes | None

    def share(self, count: int) -> int:
        """Per cent of the bodies, rounded half up."""
        return (200 * count + self.bodies) // (2 * self.bodies) if self.bodies else 0


def scale_of(table: ChartTable, key: str) -> Scale | None:
    """The chart's sizes by one measurement; None where it has no value for it."""
    line = table.line(key)
    pairs = [(mm, label) for mm, label in zip(line.mm, table.sizes, strict=True) if mm] if line else []
    if not pairs:
        return None
    pairs.sort(key=lambda pair: pair[0])
    return Scale(key, tuple(label for _, label in pairs), tuple(mm for mm, _ in pairs))


def compared(table: ChartTable, sample: Sample) -> tuple[Scale, ...]:
    """The measurements on which chart and sample are held together: the choosing girth first, hip (or waist) last."""

    def both(keys: Sequence[str]) -> Scale | None:
        scales = (scale_of(table, key) for key in keys if any(sample.columns.get(key, ())))
        return next((scale for scale in scales if scale), None)

    found = (both(_CHOOSERS), both(("waist",)), both(_SEATS))
    return tuple({scale.key: scale for scale in found if scale}.values())


def who_is_served(table: ChartTable, sample: Sample) -> Served | None:
    """Hold a chart against a sample; None where they share no girth that chooses a size."""
    scales = compared(table, sample)
    if not scales:
        return None
    bodies = whole_bodies(scales, sample)
    first, last = scales[0], scales[-1]
    chosen = Counter(first.nearest(body[0]) for body in bodies if first.reaches(body[0]))
    return Served(
        bodies=len(bodies),
        left_out=sample.size - len(bodies),
        places=tuple(scale.key for scale in scales),
        in_range=sum(all(map(Scale.reaches, scales, body)) for body in bodies),
        ranges=tuple(_range(scale, [body[i] for body in bodies]) for i, scale in enumerate(scales)),
        sizes=tuple(SizeShare(label, chosen[i]) for i, label in enumerate(first.labels)),
        gaps=tuple(gap for i, scale in enumerate(scales) for gap in _gaps(scale, [body[i] for body in bodies])),
        two=_two(first, last, [(body[0], body[-1]) for body in bodies], table.sizes) if first is not last else None,
    )


def whole_bodies(scales: Sequence[Scale], sample: Sample) -> list[tuple[Decimal, ...]]:
    """The bodies that were measured at every one of these, in the scales' order."""
    rows = zip(*(sample.columns[scale.key] for scale in scales), strict=True)
    return [tuple(mm for mm in row if mm is not None) for row in rows if None not in row]


def _range(scale: Scale, mm: Sequence[Decimal]) -> Range:
    below, above = sum(one < scale.low for one in mm), sum(one > scale.high for one in mm)
    return Range(scale.key, below, len(mm) - below - above, above)


def _gaps(scale: Scale, mm: Sequence[Decimal]) -> Iterator[Gap]:
    for i, low, high in scale.gaps():
        bodies = sum(low < one < high for one in mm)
        yield Gap(scale.key, scale.labels[i], scale.labels[i + 1], low, high, bodies)


def needs_two(first: Scale, last: Scale, one: Decimal, other: Decimal) -> bool:
    """Whether the nearest sizes differ, and the first one does not do at the second measurement.

    As in size advice: it does where the ease takes up what is over it, and it is not a whole size loose.
    """
    label = first.labels[first.nearest(one)]
    if label == last.labels[last.nearest(other)]:
        return False
    if label not in last.labels:
        return True
    at = last.labels.index(label)
    loose = at > 0 and other <= last.mm[at - 1]
    return loose or other > last.mm[at] + REACH_MM


def _two(first: Scale, last: Scale, bodies: Sequence[tuple[Decimal, Decimal]], sizes: Sequence[str]) -> TwoSizes:
    inside = [(one, other) for one, other in bodies if first.reaches(one) and last.reaches(other)]
    order: Mapping[str, int] = {label: i for i, label in enumerate(sizes)}
    apart = Counter(
        abs(order[first.labels[first.nearest(one)]] - order[last.labels[last.nearest(other)]]) for one, other in inside
    )
    needed = sum(needs_two(first, last, one, other) for one, other in inside)
    differ = len(inside) - apart[0]
    return TwoSizes(first.key, last.key, apart[0], apart[1], differ - apart[1], differ - needed)

"""Ease: the finished garment minus the body, size by size; and what a stretch fabric does to it.

All lengths in mm. Method and limits: docs/algorithms/ease.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from measurements.charts import ChartTable
from measurements.finished_measures import FINISHED_MEASURES
from measurements.sentences import gettext_noop


@dataclass(frozen=True)
class LeastEase:
    """The least ease of a fitted woven garment at one place, full girth, and where the figure comes from."""

    mm: Decimal
    source: str


# College and extension texts differ twofold; these are the lower middle of them, and a studio may choose its own.
LEAST_EASE: dict[str, LeastEase] = {
    "bust": LeastEase(
        Decimal(40),
        gettext_noop(
            "between Central Washington University’s costume text, chapter 16 (1 1/2 to 2 in)"
            " and New Mexico State University, C-228 (3 to 4 in)"
        ),
    ),
    "waist": LeastEase(
        Decimal(20),
        gettext_noop(
            "Central Washington University’s costume text, chapter 16 (dress 3/4 to 1 in, skirt 1/2 to 3/4 in)"
        ),
    ),
    "hip": LeastEase(
        Decimal(50), gettext_noop("Central Washington University’s costume text, chapter 16 (2 to 2 3/4 in)")
    ),
    "thigh": LeastEase(
        Decimal("25.4"), gettext_noop("Central Washington University’s costume text, chapter 16 (1 in and more)")
    ),
    "upper_arm": LeastEase(
        Decimal("38.1"), gettext_noop("Santa Rosa Junior College, FASH 60, 7.2 (1 1/2 to 2 in and more)")
    ),
}
# What size advice holds a garment to where a studio says nothing.
LEAST_EASE_MM: dict[str, Decimal] = {place: LEAST_EASE[place].mm for place in ("bust", "waist", "hip")}


@dataclass(frozen=True)
class Ease:
    """One place in one size, with the two lengths it comes from."""

    body_mm: Decimal
    finished_mm: Decimal

    @property
    def mm(self) -> Decimal:
        return self.finished_mm - self.body_mm

    @property
    def percent(self) -> Decimal:
        """Ease as a share of the body, to a tenth of a per cent."""
        return (100 * self.mm / self.body_mm).quantize(Decimal("0.1")) if self.body_mm else Decimal(0)


@dataclass(frozen=True)
class EaseRow:
    """The ease of one finished measurement in each size of the garment; None where a chart is silent."""

    finished_key: str
    body_key: str
    sizes: tuple[str, ...]
    cells: tuple[Ease | None, ...]

    def below(self, least_mm: Decimal) -> tuple[str, ...]:
        """The sizes whose ease is less than this."""
        pairs = zip(self.sizes, self.cells, strict=True)
        return tuple(size for size, ease in pairs if ease and ease.mm < least_mm)


def ease_rows(body: ChartTable, finished: ChartTable) -> tuple[EaseRow, ...]:
    """Finished minus body wherever both charts speak. Sizes are matched by label, in the garment's order."""
    rows = []
    for line in finished.lines:
        body_key = FINISHED_MEASURES[line.key].body if line.key in FINISHED_MEASURES else None
        if body_key is None or body.line(body_key) is None:
            continue
        cells = (_ease(body.mm_at(body_key, size), mm) for size, mm in zip(finished.sizes, line.mm, strict=True))
        rows.append(EaseRow(line.key, body_key, finished.sizes, tuple(cells)))
    return tuple(rows)


def _ease(body_mm: Decimal | None, finished_mm: Decimal | None) -> Ease | None:
    return None if body_mm is None or finished_mm is None else Ease(body_mm, finished_mm)


def too_little(rows: tuple[EaseRow, ...], least: Mapping[str, Decimal] = LEAST_EASE_MM) -> dict[str, tuple[str, ...]]:
    """By body measurement, the sizes of a woven garment that fall below the least ease."""
    found = {row.body_key: row.below(least[row.body_key]) for row in rows if row.body_key in least}
    return {key: sizes for key, sizes in found.items() if sizes}


def stretch_percent(stretched_mm: Decimal, unstretched_mm: Decimal = Decimal(100)) -> Decimal:
    """How far a fold of knit fabric stretches, across: 10 cm pulled out to 15 cm is 50 per cent."""
    return 100 * (stretched_mm - unstretched_mm) / unstretched_mm


def worn_stretch_percent(body_mm: Decimal, finished_mm: Decimal) -> Decimal:
    """How far the finished garment is stretched when worn; zero when it has ease."""
    return max(Decimal(0), 100 * (body_mm / finished_mm - 1)) if finished_mm else Decimal(0)


def overstretched(worn_percent: Decimal, required_percent: Decimal) -> bool:
    """Whether wearing takes more than half of the stretch that the pattern requires of its fabric."""
    return 2 * worn_percent > required_percent

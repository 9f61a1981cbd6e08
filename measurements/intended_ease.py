"""The ease that a designer means a garment to have at one place, in every size, and how far it may stray.

Method and limits: docs/algorithms/ease.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from measurements.ease import Ease, EaseRow

# What a declared ease may stray in a size where nothing else is said: charts are rounded to half a centimetre,
# and body and garment are each rounded once (common practice, no source).
USUAL_TOLERANCE_CM = Decimal("0.5")


@dataclass(frozen=True)
class IntendedEase:
    """`measure` is the key of the finished measurement; `cm` may be negative; `tolerance_cm` is not."""

    measure: str
    cm: Decimal
    tolerance_cm: Decimal = USUAL_TOLERANCE_CM

    @property
    def mm(self) -> Decimal:
        return self.cm * 10

    @property
    def tolerance_mm(self) -> Decimal:
        return self.tolerance_cm * 10

    def strays(self, ease: Ease) -> bool:
        """Whether an ease is further from the intended one than the tolerance; exactly on it does not stray."""
        return abs(ease.mm - self.mm) > self.tolerance_mm


@dataclass(frozen=True)
class Straying:
    """One size in which the ease is not the intended one. `off_mm` is positive where there is more of it."""

    size: str
    ease: Ease
    off_mm: Decimal


def straying(row: EaseRow, intended: Mapping[str, IntendedEase]) -> tuple[Straying, ...]:
    """The sizes of a row whose ease strays; none where nothing was declared."""
    meant = intended.get(row.finished_key)
    if meant is None:
        return ()
    pairs = zip(row.sizes, row.cells, strict=True)
    return tuple(Straying(size, ease, ease.mm - meant.mm) for size, ease in pairs if ease and meant.strays(ease))

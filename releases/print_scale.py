"""What a printed test square says: the scale, how sure it is, and what it does to a girth.

Lengths are Decimals in mm. Method and limits: docs/algorithms/print-scale.md.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

# A ruler with millimetre marks is read to half a millimetre (common practice, no source).
READING_MM = Decimal("0.5")
# Trusted within one per cent: 1 cm at a girth of 100 cm, a quarter of a size.
TOLERANCE = Decimal("0.01")
# More than this between across and down is the printer's feed, not its scale.
FEED_SLIP = Decimal("0.005")
# Two readings this close are the same cause.
ALIKE = Decimal("0.005")

Verdict = Literal["holds", "off", "cannot_tell"]


@dataclass(frozen=True)
class Page:
    """A sheet of paper, upright, in mm. A4 after ISO 216; Letter is 8 1/2 by 11 in."""

    name: str
    width_mm: Decimal
    height_mm: Decimal


A4 = Page("A4", Decimal(210), Decimal(297))
LETTER = Page("Letter", Decimal("215.9"), Decimal("279.4"))


@dataclass(frozen=True)
class PrintScale:
    """A square read on paper against its nominal side."""

    nominal_mm: Decimal
    read_mm: Decimal
    reading_mm: Decimal = READING_MM

    @property
    def scale(self) -> Decimal:
        return self.read_mm / self.nominal_mm

    @property
    def error(self) -> Decimal:
        """-0.025 when a square of 100 mm reads 97.5."""
        return self.scale - 1

    @property
    def doubt(self) -> Decimal:
        """How far the error may be from the truth, since the square is only read so finely."""
        return self.reading_mm / self.nominal_mm

    @property
    def percent(self) -> Decimal:
        """The scale in per cent, to a tenth."""
        return (100 * self.scale).quantize(Decimal("0.1"))

    def can_prove(self, tolerance: Decimal = TOLERANCE) -> bool:
        """Whether a square of this size can show that a print is within the tolerance."""
        return self.doubt < tolerance

    def verdict(self, tolerance: Decimal = TOLERANCE) -> Verdict:
        """Holds or is off for certain, by the doubt of the reading; anything between cannot be told."""
        if self.can_prove(tolerance) and abs(self.error) + self.doubt <= tolerance:
            return "holds"
        return "off" if abs(self.error) - self.doubt >= tolerance else "cannot_tell"

    def girth(self, finished_mm: Decimal, seam_edges: int = 0, allowance_mm: Decimal = Decimal(0)) -> Decimal:
        """What a finished girth becomes. Cut edges are scaled too, but the allowances are sewn at their true width."""
        sewn_away = seam_edges * allowance_mm
        return (finished_mm + sewn_away) * self.scale - sewn_away

    def girth_change(self, finished_mm: Decimal) -> Decimal:
        return self.girth(finished_mm) - finished_mm


def feed_slips(across: PrintScale, down: PrintScale) -> bool:
    """Whether the paper slipped: the two directions differ by more than half a per cent."""
    return abs(across.error - down.error) > FEED_SLIP


def other_square(nominal_mm: Decimal, read_mm: Decimal) -> bool:
    """Whether the reading is that of the square in the other system: 10 cm for 4 in, or the other way round.

    Read as an error of scale it would be 98.4 or 101.6 per cent, of a print that is right.
    """
    inch = Decimal("25.4")
    return read_mm in {nominal_mm / inch * 25, nominal_mm / 25 * inch} and (
        nominal_mm % inch == 0 or nominal_mm % 25 == 0
    )


def fit_scale(page: Page, paper: Page, margin_mm: Decimal = Decimal(0)) -> Decimal:
    """The scale at which a print dialogue fits a page to a paper with equal margins, never above 1."""
    across = (paper.width_mm - 2 * margin_mm) / page.width_mm
    down = (paper.height_mm - 2 * margin_mm) / page.height_mm
    return min(Decimal(1), across, down)


@dataclass(frozen=True)
class FitCause:
    """A likely cause of a scale: a page made for one paper, fitted to another."""

    page: Page
    paper: Page
    scale: Decimal


FIT_CAUSES = tuple(
    FitCause(page, paper, fit_scale(page, paper, margin))
    for page, paper, margin in ((LETTER, A4, Decimal(0)), (A4, LETTER, Decimal(0)), (A4, A4, Decimal(3)))
)


def likely_cause(print_scale: PrintScale, causes: Iterable[FitCause] = FIT_CAUSES) -> FitCause | None:
    """The fit to paper that is nearest to the scale and within half a per cent of it."""
    near = [cause for cause in causes if abs(cause.scale - print_scale.scale) <= ALIKE]
    return min(near, key=lambda cause: abs(cause.scale - print_scale.scale), default=None)

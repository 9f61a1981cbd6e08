"""Lengths for the eye: inches as fractions, centimetres to a step. Only the display rounds, never the store.

Every length is a Decimal in millimetres. Rounding is to the nearest step; a tie goes away from zero
(1/16 in shown in eighths is 1/8; 0.25 cm shown to 0.5 is 0.5).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

MM_PER_INCH = Decimal("25.4")
HALF_CM = Decimal("0.5")
TENTH_CM = Decimal("0.1")


@dataclass(frozen=True)
class InchParts:
    """An inch value for typesetting: a whole number and a fraction in lowest terms (0/1 when there is none)."""

    whole: int
    numerator: int
    denominator: int
    negative: bool = False

    def __str__(self) -> str:
        fraction = f"{self.numerator}/{self.denominator}" if self.numerator else ""
        whole = str(self.whole) if self.whole or not fraction else ""
        return ("-" if self.negative else "") + " ".join(part for part in (whole, fraction) if part)


def _nearest(amount: Fraction) -> int:
    """The nearest whole number, ties away from zero."""
    size = abs(amount)
    whole = (2 * size.numerator + size.denominator) // (2 * size.denominator)
    return -whole if amount < 0 else whole


def inch_parts(mm: Decimal, denominator: int = 8) -> InchParts:
    """The nearest fraction of an inch with this denominator (2, 4, 8, 16, 32 or 64)."""
    steps = _nearest(Fraction(mm) * denominator / Fraction(MM_PER_INCH))
    whole, rest = divmod(abs(steps), denominator)
    fraction = Fraction(rest, denominator)
    return InchParts(whole, fraction.numerator, fraction.denominator, negative=steps < 0)


def rounded(mm: Decimal, step_mm: Decimal) -> Decimal:
    """Millimetres to the nearest step, ties away from zero."""
    return _nearest(Fraction(mm) / Fraction(step_mm)) * step_mm


def plain(number: Decimal) -> str:
    """A number without idle zeros: 92.0 is 92, 86.50 is 86.5."""
    return f"{number.normalize() + 0:f}"


@dataclass(frozen=True)
class LengthStyle:
    """How a chart shows its lengths: the inch fraction (8 or 16) and the step in cm (0.5 or 0.1)."""

    inch_denominator: int = 8
    cm_step: Decimal = HALF_CM

    def inches(self, mm: Decimal) -> InchParts:
        return inch_parts(mm, self.inch_denominator)

    def cm(self, mm: Decimal) -> str:
        return plain(rounded(mm, self.cm_step * 10) / 10)

    def mm(self, mm: Decimal) -> str:
        return plain(rounded(mm, Decimal(1)))

    def number(self, mm: Decimal, unit: str) -> str:
        """The bare number in cm, in or mm: `86.5`, `34 1/2`, `865`."""
        if unit == "in":
            return str(self.inches(mm))
        return self.cm(mm) if unit == "cm" else self.mm(mm)

    def text(self, mm: Decimal, unit: str) -> str:
        return f"{self.number(mm, unit)} {unit}"

    def both(self, mm: Decimal, first: str = "cm") -> str:
        """Both systems: `86.5 cm (34 in)`, or with inches first."""
        other = "cm" if first == "in" else "in"
        return f"{self.text(mm, first)} ({self.text(mm, other)})"


BODY_STYLE = LengthStyle()
ALLOWANCE_STYLE = LengthStyle(16, TENTH_CM)


def style_that_keeps(metric: Iterable[Decimal], inches: Iterable[Decimal]) -> LengthStyle:
    """The coarsest style that prints what was typed to the digit: mm typed as metric, mm typed as inches."""
    eighths = all(Fraction(mm) * 8 % Fraction(MM_PER_INCH) == 0 for mm in inches)
    halves = all(mm % 5 == 0 for mm in metric)
    return LengthStyle(8 if eighths else 16, HALF_CM if halves else TENTH_CM)

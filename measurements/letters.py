"""Letter sizes for women by bust girth, after EN 13402-3.

The interval bounds 74 to 131 cm are published; XXS and the letters above XXL continue the pattern
(from memory). The standard's rule for a bust exactly on a bound is not known to us: here the lower
bound is in, the upper is out, so 90 cm is M.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class LetterInterval:
    """A letter and its bust girths in mm: from `low_mm`, up to and without `high_mm`."""

    letter: str
    low_mm: Decimal
    high_mm: Decimal


_BOUNDS_CM = (66, 74, 82, 90, 98, 107, 119, 131, 143, 155, 167)
_LETTERS = ("XXS", "XS", "S", "M", "L", "XL", "XXL", "3XL", "4XL", "5XL")

WOMEN_BY_BUST = tuple(
    LetterInterval(letter, Decimal(low * 10), Decimal(high * 10))
    for letter, low, high in zip(_LETTERS, _BOUNDS_CM, _BOUNDS_CM[1:], strict=False)
)


def letter_for_bust(mm: Decimal) -> str | None:
    """The letter of a bust girth, or None outside all intervals."""
    return next((item.letter for item in WOMEN_BY_BUST if item.low_mm <= mm < item.high_mm), None)

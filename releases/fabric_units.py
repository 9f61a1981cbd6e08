"""From the length of a layout to what is bought: ends, shrinkage, and both units rounded up, each from the raw length.

raw = (layout + 5 cm) / (1 - shrinkage). Metres go up to 0.1, yards up to 1/8; neither is made from the other.
Common practice, no source. 1 yd = 91.44 cm exactly (international yard, 1959; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

# Ends that are not cut square, and the cutter's own margin.
ENDS_CM = 5
CM_A_YARD = Fraction(9144, 100)
# A block of interfacing is cut larger than its piece on every side, fused, and then cut with it.
INTERFACING_CM = 2
# A length that is over a step by less than this is that step: a tenth of a millimetre.
SLACK_CM = Fraction(1, 100)


@dataclass(frozen=True)
class Bought:
    """What a buyer asks for: `raw_cm` before rounding, metres in tenths, yards in eighths."""

    raw_cm: Fraction
    tenths: int
    eighths: int

    @property
    def metres(self) -> float:
        return self.tenths / 10

    @property
    def yards(self) -> float:
        return self.eighths / 8


def buy(length_cm: Fraction, shrinkage: Fraction) -> Bought:
    """What to buy for layouts of so many centimetres. Raises ValueError for a shrinkage below 0, or 1 and more."""
    if not 0 <= shrinkage < 1:
        raise ValueError("shrinkage is a share from 0 to below 1")
    raw = (length_cm + ENDS_CM) / (1 - shrinkage)
    least = raw - SLACK_CM
    return Bought(raw, ceil(least / 10), ceil(least / CM_A_YARD * 8))

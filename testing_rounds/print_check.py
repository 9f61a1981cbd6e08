"""A tester's test square judged: may the pattern be cut, and if not, why and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from measurements.lengths import LengthError, read_length
from releases.print_scale import TOLERANCE, FitCause, PrintScale, feed_slips, likely_cause, other_square
from testing_rounds.models import PrintCheck

State = Literal["unread", "part", "no_square", "mixed", "other_square", "holds", "likely", "doubtful", "off"]

# No printer shrinks or grows a page by half: a reading beyond that was taken in the other unit, or of something else.
SANE = (Decimal("0.5"), Decimal("1.5"))
NEAR = (Decimal("0.9"), Decimal("1.1"))
MM_PER = {"mm": Decimal(1), "cm": Decimal(10), "in": Decimal("25.4")}


@dataclass(frozen=True)
class PrintVerdict:
    """What a print check says. `worst` is the direction that is further off, `meant_unit` the unit of a mix-up."""

    state: State
    worst: PrintScale | None = None
    slips: bool = False
    cause: FitCause | None = None
    meant_unit: str = ""
    small_square: bool = False

    @property
    def may_cut(self) -> bool:
        """It holds, or nothing speaks against it as far as the square can show."""
        return self.state in {"holds", "likely"}

    @property
    def counts(self) -> bool:
        """Whether the reading may stand in a report: a mix-up says nothing of the print."""
        return self.worst is not None


def judge(check: PrintCheck | None, nominal: Decimal | None) -> PrintVerdict:
    """Judge the newest check of a place against the version's test square (mm)."""
    if check is None or (check.across_mm is None and check.down_mm is None):
        return PrintVerdict("unread")
    if not nominal:
        return PrintVerdict("no_square")
    pairs = ((check.across_mm, check.across_typed), (check.down_mm, check.down_typed))
    read = [mm for mm, _typed in pairs if mm is not None]
    for mm, typed in pairs:
        if mm is None:
            continue
        if not SANE[0] < mm / nominal < SANE[1]:
            return PrintVerdict("mixed", meant_unit=_meant(mm, typed, nominal))
        if other_square(nominal, mm):
            return PrintVerdict("other_square")
    scales = [PrintScale(nominal, mm) for mm in read]
    worst = max(scales, key=lambda scale: abs(scale.error))
    slips = len(scales) == 2 and feed_slips(*scales)
    state = "part" if len(scales) < 2 and abs(worst.error) <= TOLERANCE else _state(worst)
    return PrintVerdict(state, worst, slips, likely_cause(worst), small_square=not worst.can_prove())


def _state(worst: PrintScale) -> State:
    verdict = worst.verdict()
    if verdict == "cannot_tell":
        return "likely" if abs(worst.error) <= TOLERANCE else "doubtful"
    return "holds" if verdict == "holds" else "off"


def _meant(mm: Decimal, typed: str, nominal: Decimal) -> str:
    """The unit in which the number that was typed would be near the square, or ""."""
    number = mm / MM_PER[_unit_of(mm, typed)]
    return next((unit for unit, per in MM_PER.items() if NEAR[0] < number * per / nominal < NEAR[1]), "")


def _unit_of(mm: Decimal, typed: str) -> str:
    """The unit in which a text was read as this length."""
    try:
        length = read_length(typed, "cm")
    except LengthError:
        return "cm"
    return length.unit if length.mm == mm else "in"

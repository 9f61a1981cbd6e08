"""Size advice as plain values for other programs, and as one line for a person."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache, partial
from typing import Any

from measurements.length_display import TENTH_CM, LengthStyle
from measurements.size_advice_types import SizeAdvice

STYLE = LengthStyle(8, TENTH_CM)
HUNDREDTH = Decimal("0.01")


def as_dict(advice: SizeAdvice, *more: str) -> dict[str, Any]:
    """{size, outside, blend, change, ease, says}; lengths in cm, to a hundredth.

    `ease` is what each fitted place is left in the size advised for it: its blend where it has one. `change` is what
    to add to the pattern there, or to take out. Outside, `ease` is that of the nearest size.
    """
    blends = {blend.place: blend for blend in advice.blends if blend.to_size is not None}
    left = {part.place: part for part in advice.ease_left}
    left |= {place: blend.left for place, blend in blends.items() if blend.left}
    return {
        "size": advice.size,
        "outside": advice.outside,
        "blend": {place: blend.to_size for place, blend in blends.items()},
        "change": {change.place: in_cm(change.mm) for change in advice.changes},
        "ease": {place: in_cm(part.mm) for place, part in left.items()},
        "says": says(advice, *more),
    }


def nothing(why: str) -> dict[str, Any]:
    """The same keys for a body that cannot be read."""
    return {"size": None, "outside": False, "blend": {}, "change": {}, "ease": {}, "says": why}


def says(advice: SizeAdvice, *more: str, first: str = "cm") -> str:
    """The reasons in a line, lengths to a tenth of a centimetre."""
    show = partial(_both, first=first)
    return " ".join((*(reason.text(show=show) for reason in advice.reasons), *more))


# A table of bodies names the same lengths of the chart over and over.
@lru_cache(maxsize=4096)
def _both(mm: Decimal, first: str) -> str:
    return STYLE.both(mm, first)


def in_cm(mm: Decimal) -> int | float:
    """A whole number where it is one, so that 6 is 6 and not 6.0."""
    cm = (mm / 10).quantize(HUNDREDTH)
    return int(cm) if cm == cm.to_integral_value() else float(cm)

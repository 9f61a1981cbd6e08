"""Several finished lengths from one piece: what each adds or takes, what it measures, the fabric it costs.

The change lies along the grain at the line that the pattern gives. Lengths are Decimals in mm.
Method and limits: docs/algorithms/finished-lengths.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from itertools import combinations

from measurements.sentences import Sentence, gettext_noop, sentence

# What cloth loses in its first wash, taken off before rounding (common practice, no source).
SHRINKAGE = Decimal("0.03")
YARD_EIGHTH_MM = Decimal("914.4") / 8
TENTH_M_MM = Decimal(100)
# Two lengths nearer than a tape can tell are one length.
SAME_MM = Decimal(5)


@dataclass(frozen=True)
class LengthWanted:
    """One of the lengths. `laps` is how often it lies along the fabric: once where all pieces lie side by side."""

    name: str
    change_mm: Decimal
    laps: int = 1
    lining_mm: Decimal | None = None
    height_mm: Decimal | None = None


@dataclass(frozen=True)
class FabricCost:
    """What a length costs in fabric, from `raw_mm` in each system by itself; below 0 where it saves.

    `metres` to 0.1 and `yards` to 1/8: a cost is rounded up and a saving down, so that nobody buys too little.
    """

    raw_mm: Decimal
    metres: Decimal
    yards: Decimal


def finished_row(row: Sequence[Decimal | None], change_mm: Decimal) -> tuple[Decimal | None, ...]:
    """The finished length in each size."""
    return tuple(None if mm is None else mm + change_mm for mm in row)


def fabric_cost(change_mm: Decimal, laps: int, shrinkage: Decimal = SHRINKAGE) -> FabricCost:
    """More cloth (or less) for one garment; `shrinkage` is a share, 0.03 of it."""
    raw = change_mm * laps / (1 - shrinkage)
    # Towards more cloth, whether it is bought or saved.
    metres = (raw / TENTH_M_MM).to_integral_value(ROUND_CEILING) / 10
    yards = (raw / YARD_EIGHTH_MM).to_integral_value(ROUND_CEILING) / 8
    return FabricCost(raw, metres + 0, yards + 0)


def lining_row(row: Sequence[Decimal | None], length: LengthWanted) -> tuple[Decimal | None, ...]:
    """The lining's finished length in each size, or nothing where the garment has none."""
    if length.lining_mm is None:
        return ()
    return finished_row(row, length.change_mm - length.lining_mm)


def length_doubts(lengths: Iterable[LengthWanted], row: Sequence[Decimal | None]) -> Iterator[Sentence]:
    """Lengths that leave nothing, names that mean the same length, a lining that shows."""
    known = [mm for mm in row if mm is not None]
    listed = list(lengths)
    for one in listed:
        if known and min(known) + one.change_mm <= 0:
            said = gettext_noop("“%(name)s” takes %(mm)s, more than the smallest size has.")
            yield sentence("nothing_left", said, name=one.name, mm=-one.change_mm)
        if abs(one.change_mm) < SAME_MM:
            said = gettext_noop("“%(name)s” is the printed length: it adds and takes nothing.")
            yield sentence("printed", said, name=one.name)
        if one.lining_mm is not None and one.lining_mm <= 0:
            said = gettext_noop("The lining of “%(name)s” is as long as the garment, so it will show at the hem.")
            yield sentence("lining_shows", said, name=one.name)
    for one, other in combinations(listed, 2):
        if one.height_mm == other.height_mm and abs(one.change_mm - other.change_mm) < SAME_MM:
            said = gettext_noop("“%(name)s” and “%(other)s” are the same length. One name is enough.")
            yield sentence("two_names", said, name=one.name, other=other.name)

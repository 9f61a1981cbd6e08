"""What a layout is made of: cloth, the pieces of a cutting list, and where they came to lie.

Lengths are whole numbers of one small unit; `Cloth.cm` says how many of them make a centimetre.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from measurements.sentences import Sentence


class Cut(StrEnum):
    """On the fold (its width is the half), in pairs (two layers at once), or singly from opened cloth."""

    FOLD = "fold"
    PAIR = "pair"
    SINGLE = "single"


class Grain(StrEnum):
    """Which way the piece's own length lies: along the cloth, across it, at 45 degrees, or as it fits."""

    LENGTH = "length"
    CROSS = "cross"
    BIAS = "bias"
    ANY = "any"


class Way(StrEnum):
    """The cloth folded along its length, or opened in one layer."""

    FOLDED = "folded"
    OPEN = "open"


@dataclass(frozen=True)
class CutPiece:
    """A line of the cutting list: how many are cut, how, and the box of one with its seam allowances."""

    name: str
    material: str
    count: int
    cut: Cut
    grain: Grain
    length: int
    width: int


@dataclass(frozen=True)
class Cloth:
    """Width from edge to edge, `selvedge` for both edges together, and what the cloth asks.

    `nap`: every piece points the same way. `shrinkage`: the share lost in the first wash. `repeat`: of the print.
    `gap`: cloth left between two boxes.
    """

    width: int
    selvedge: int
    cm: Fraction
    nap: bool = False
    shrinkage: Fraction = Fraction(0)
    repeat: int = 0
    gap: int = 0

    @property
    def usable(self) -> int:
        return self.width - self.selvedge

    def mm(self, length: int) -> Decimal:
        """A length of this cloth in millimetres, to a thousandth."""
        return Decimal(round(Fraction(length) / self.cm * 10_000)) / 1000

    @property
    def folded(self) -> int:
        """The usable width of cloth folded along its length."""
        return self.usable // 2


@dataclass(frozen=True)
class Placement:
    """A box as laid: x along the cloth, y from the fold or, on opened cloth, from the selvedge.

    `piece` is its place in the cutting list. `turned`: 90 where its own length runs across the cloth, else 0.
    `opened`: laid on one layer.
    """

    piece: int
    x: int
    y: int
    length: int
    width: int
    turned: int
    opened: bool


@dataclass(frozen=True)
class LayPlan:
    """A layout, or the reasons why there is none. `least`: by area alone, no layout is shorter."""

    way: Way | None
    length: int | None
    placements: tuple[Placement, ...] = ()
    refused: tuple[Sentence, ...] = ()
    least: int = 0

"""The fabric requirement before the pieces are redrawn: what it is, and about what it becomes.

Which pieces a finished measurement runs through is not known, so every piece grows with it: the estimate is rather too
long, until the new pieces are laid. Method and limits: docs/algorithms/next-version.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from releases.fabric_store import PARTS, Asked, asked, cloths_of, need_of
from releases.fabric_units import Bought, buy
from releases.lay_plan import quick_plan
from releases.lay_types import CutPiece
from releases.models import Material, Version

# How much of a change of a finished measurement widens one piece (common practice, no source): the half of a front or
# back is a quarter of the trunk, a front or back of a leg is half of it, a sleeve goes all round.
_QUARTER, _HALF, _WHOLE = Decimal("0.25"), Decimal("0.5"), Decimal(1)
WIDENS = {
    **dict.fromkeys(("bust", "waist", "high_hip", "hip", "sweep", "neck_edge", "neck_opening"), _QUARTER),
    **dict.fromkeys(("thigh", "knee", "hem", "across_back"), _HALF),
    **dict.fromkeys(("upper_arm", "sleeve_opening", "shoulder"), _WHOLE),
}
# A longer zip or placket takes no cloth.
NO_CLOTH = {"opening"}


@dataclass(frozen=True)
class Growth:
    """By how much the pieces of a size grow at most, in mm."""

    length: Decimal = Decimal(0)
    width: Decimal = Decimal(0)


@dataclass(frozen=True)
class NeedAhead:
    """One size at one width: what it needs now and about then; None: the pieces do not go on this width."""

    size: str
    before: Bought | None
    after: Bought | None

    @property
    def changes(self) -> bool:
        """Whether a buyer is told another length."""
        return _told(self.before) != _told(self.after)


def _told(bought: Bought | None) -> tuple[int, int] | None:
    return (bought.tenths, bought.eighths) if bought else None


@dataclass(frozen=True)
class ClothAhead:
    """One cloth at one width, in the sizes that grow."""

    material: Material
    width_mm: Decimal
    needs: tuple[NeedAhead, ...]


def growths(changes: Iterable[tuple[str, str, Decimal]]) -> dict[str, Growth]:
    """{size: growth} of changes (finished measurement, size, mm); what shrinks is left out. Two measurements that run
    through a piece do not add up: the larger counts."""
    found: dict[str, Growth] = {}
    for measure, size, mm in changes:
        if mm <= 0 or measure in NO_CLOTH:
            continue
        here = found.get(size, Growth())
        if measure in WIDENS:
            found[size] = replace(here, width=max(here.width, mm * WIDENS[measure]))
        else:
            found[size] = replace(here, length=max(here.length, mm))
    return found


def fabric_ahead(version: Version, grown: Mapping[str, Growth]) -> tuple[ClothAhead, ...]:
    """Each cloth at each width in the sizes that grow, as far as a buyer is told another length; four queries."""
    found: dict[tuple[int, Decimal], ClothAhead] = {}
    for one in asked(version, cloths_of(version)) if grown else ():
        if one.size in grown:
            material, width = one.cloth.material, one.width_mm
            here = found.get((material.pk, width), ClothAhead(material, width, ()))
            found[material.pk, width] = replace(here, needs=(*here.needs, _ahead(one, grown[one.size])))
    return tuple(cloth for cloth in found.values() if any(need.changes for need in cloth.needs))


def _ahead(one: Asked, growth: Growth) -> NeedAhead:
    """What it needs now, and that with as much more as a quick layout of grown pieces is longer than a present one."""
    cloth, now = one.cloth.cloth(one.width_mm), need_of(one)
    before = quick_plan(one.pieces, cloth).length
    after = quick_plan([_grown(piece, growth) for piece in one.pieces], cloth).length
    if now.length_mm is None or before is None or after is None:
        return NeedAhead(one.size, now.bought, None)
    longer = Fraction(now.length_mm) / 10 + max(after - before, 0) / cloth.cm
    return NeedAhead(one.size, now.bought, buy(longer, cloth.shrinkage))


def _grown(piece: CutPiece, growth: Growth) -> CutPiece:
    return replace(
        piece, length=piece.length + int(growth.length * PARTS), width=piece.width + int(growth.width * PARTS)
    )

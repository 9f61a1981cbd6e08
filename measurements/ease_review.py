"""What is to be said of a garment's ease, size by size: too little, not as meant, stretched too far.

Lengths are Decimals in mm. Method and limits: docs/algorithms/ease.md.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from measurements.ease import LEAST_EASE, Ease, EaseRow, LeastEase, overstretched, worn_stretch_percent
from measurements.finished_measures import FINISHED_MEASURES
from measurements.intended_ease import IntendedEase, straying
from measurements.sentences import Sentence, Value, gettext_noop, sentence

# By whether all sizes are off alike, then by whether there is more of it.
_OFF = (
    (
        gettext_noop("Meant is %(meant)s; size %(size)s has %(off)s less."),
        gettext_noop("Meant is %(meant)s; size %(size)s has %(off)s more."),
    ),
    (
        gettext_noop("Meant is %(meant)s; there is %(off)s less."),
        gettext_noop("Meant is %(meant)s; there is %(off)s more."),
    ),
)

Cloth = Literal["woven", "knit", "bias"]
Flag = Literal["least", "strays", "stretched"]


@dataclass(frozen=True)
class Meant:
    """What is declared of a garment: its cloth, the ease meant a finished measurement, where it hangs free, the least
    ease a place with its source, and the stretch (per cent) that its fabric must have."""

    cloth: Cloth = "woven"
    intended: Mapping[str, IntendedEase] = field(default_factory=dict)
    free: Collection[str] = ()
    least: Mapping[str, LeastEase] = field(default_factory=lambda: LEAST_EASE)
    stretch: Decimal | None = None


@dataclass(frozen=True)
class EaseFinding:
    """One sentence about one measurement in some of its sizes."""

    flag: Flag
    key: str
    sizes: tuple[str, ...]
    sentence: Sentence


def review(rows: Iterable[EaseRow], meant: Meant) -> tuple[EaseFinding, ...]:
    """Every finding, measurement by measurement."""
    return tuple(finding for row in rows for finding in _of_row(row, meant))


def least_at(row: EaseRow, meant: Meant) -> LeastEase | None:
    """The least ease that holds for a row; none where it hangs free, or where the fabric stretches."""
    if meant.cloth == "knit" or row.body_key in meant.free:
        return None
    return meant.least.get(row.body_key)


def _of_row(row: EaseRow, meant: Meant) -> Iterator[EaseFinding]:
    least = least_at(row, meant)
    if least and (short := _where(row, lambda ease: ease.mm < least.mm)):
        said = gettext_noop("%(ease)s of ease, and a fitted garment keeps at least %(least)s.")
        if meant.cloth == "bias":
            said = gettext_noop(
                "%(ease)s of ease, and a fitted garment keeps at least %(least)s."
                " Cut on the bias it may give as much: see it on a toile that has hung."
            )
        smallest = min(ease.mm for _, ease in short)
        yield _finding("least", row, short, said, ease=smallest, least=least.mm)
    yield from _strays(row, meant)
    if meant.cloth == "knit":
        yield from _stretched(row, meant.stretch)


def _strays(row: EaseRow, meant: Meant) -> Iterator[EaseFinding]:
    """More than meant and less than meant are told apart; each with the size that is furthest off."""
    found = straying(row, meant.intended)
    for side in (-1, 1):
        of_side = [one for one in found if one.off_mm * side > 0]
        if of_side:
            furthest = max(of_side, key=lambda one: abs(one.off_mm))
            alike = len({one.off_mm for one in of_side}) == 1
            said = _OFF[alike][side > 0]
            sizes = [(one.size, one.ease) for one in of_side]
            mm = meant.intended[row.finished_key].mm
            yield _finding("strays", row, sizes, said, meant=mm, size=furthest.size, off=abs(furthest.off_mm))


def _stretched(row: EaseRow, required: Decimal | None) -> Iterator[EaseFinding]:
    """A fabric that is stretched when worn keeps half of its stretch for moving."""
    if not FINISHED_MEASURES[row.finished_key].girth:
        return
    worn = {size: worn_stretch_percent(ease.body_mm, ease.finished_mm) for size, ease in _cells(row)}
    most = max(worn.values(), default=Decimal(0))
    if not most:
        return
    if required is None:
        said = gettext_noop("Worn, the fabric is stretched by up to %(worn)s %%. Say how far it must stretch.")
        yield _finding("stretched", row, _where(row, lambda ease: ease.mm < 0), said, worn=f"{most:.0f}")
        return
    far = _where(row, lambda e: overstretched(worn_stretch_percent(e.body_mm, e.finished_mm), required))
    if far:
        said = gettext_noop(
            "Worn, the fabric is stretched by up to %(worn)s %%, over half of the %(required)s %% that it must have."
        )
        yield _finding("stretched", row, far, said, worn=f"{most:.0f}", required=f"{required:.0f}")


def _cells(row: EaseRow) -> Iterator[tuple[str, Ease]]:
    return ((size, ease) for size, ease in zip(row.sizes, row.cells, strict=True) if ease)


def _where(row: EaseRow, holds: Callable[[Ease], bool]) -> list[tuple[str, Ease]]:
    return [(size, ease) for size, ease in _cells(row) if holds(ease)]


def _finding(flag: Flag, row: EaseRow, cells: list[tuple[str, Ease]], said: str, **values: Value) -> EaseFinding:
    return EaseFinding(flag, row.finished_key, tuple(size for size, _ in cells), sentence(flag, said, **values))

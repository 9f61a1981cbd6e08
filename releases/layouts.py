"""The layouts of a version, made by a worker one by one and kept; how far they are, and what they say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.db import transaction

from measurements.fabric_widths import misprints
from measurements.translated import in_words
from releases.actions.stale import done_anew
from releases.fabric_store import Asked, ClothOf, Need, asked, cloths_of, full_layout, need_of
from releases.models import FabricRequirement, Material, Version


def lay_all(ref: str) -> None:
    """Lay what is not laid. Where the cutting list changed meanwhile, once more: another run may have gone before."""
    for _again in range(3):
        version = Version.objects.filter(ref=ref).first()
        missing = [one for one in asked(version) if one.known is None] if version else []
        if not missing:
            break
        for one in missing:
            _keep(one, full_layout(one))
    if version:
        _forget_others(version)
        with transaction.atomic():
            if all(one.known is not None for one in asked(version)):
                done_anew(version=version, deed="layouts", by=None)


def progress(version: Version) -> tuple[int, int]:
    """How many layouts are made, and how many are asked for."""
    wanted = list(asked(version))
    return sum(one.known is not None for one in wanted), len(wanted)


@transaction.atomic
def _keep(one: Asked, fields: dict[str, object]) -> None:
    """Write a layout, unless its material went meanwhile."""
    material = Material.objects.select_for_update().filter(pk=one.cloth.material.pk).first()
    if material is not None:
        FabricRequirement.objects.update_or_create(
            material=material, size=one.size, width_mm=one.width_mm, defaults=fields
        )


def _forget_others(version: Version) -> None:
    """Layouts of sizes and widths that are no longer asked for."""
    wanted = {(one.cloth.material.pk, one.size, one.width_mm) for one in asked(version)}
    for row in FabricRequirement.objects.filter(material__version=version):
        if (row.material_id, row.size, row.width_mm) not in wanted:
            row.delete()


@dataclass(frozen=True)
class ClothTable:
    """One cloth: its widths, and a row a size with what each width needs."""

    cloth: ClothOf
    widths: tuple[Decimal, ...]
    rows: tuple[tuple[str, tuple[Need | None, ...]], ...]

    @property
    def odd(self) -> list[Odd]:
        """Lengths out of order by more than the rounding to a tenth of a metre hides."""
        lengths = [[Fraction(n.bought.tenths) if n and n.bought else None for n in needs] for _size, needs in self.rows]
        found = []
        for one in misprints(lengths):
            size, needs = self.rows[one.row]
            need = needs[one.column]
            if need:
                found.append(Odd(size, self.widths[one.column], need))
        return found

    @property
    def refused(self) -> list[tuple[str, list[str]]]:
        """Why some sizes do not go on some widths, each reason once with its sizes."""
        found: dict[str, list[str]] = {}
        for size, needs in self.rows:
            for why in (in_words(why) for need in needs if need for why in need.refused):
                found.setdefault(why, []).append(size)
        return list(found.items())


@dataclass(frozen=True)
class Odd:
    """A length out of order: a wider cloth needs more, or a larger size less, than its neighbours in the table."""

    size: str
    width_mm: Decimal
    need: Need


@dataclass(frozen=True)
class FabricTable:
    """The fabric requirement of a version, and how many of its layouts are made."""

    cloths: tuple[ClothTable, ...]
    made: int
    asked: int

    @property
    def complete(self) -> bool:
        return self.made == self.asked


def fabric_table(version: Version) -> FabricTable:
    """Every size at every width of every cloth: as laid, or as estimated until it is."""
    cloths = cloths_of(version)
    wanted = list(asked(version, cloths))
    needs = {(one.cloth.material.pk, one.size, one.width_mm): need_of(one) for one in wanted}
    made = sum(one.known is not None for one in wanted)
    return FabricTable(tuple(_cloth_table(cloth, version.sizes, needs) for cloth in cloths), made, len(wanted))


def _cloth_table(cloth: ClothOf, sizes: Sequence[str], needs: dict[tuple[int, str, Decimal], Need]) -> ClothTable:
    widths = tuple(cloth.widths)
    rows = tuple((size, tuple(needs.get((cloth.material.pk, size, width)) for width in widths)) for size in sizes)
    return ClothTable(cloth, widths, tuple(row for row in rows if any(row[1])))

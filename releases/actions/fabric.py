from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from functools import partial
from typing import Any

from django.db import transaction

from measurements.lengths import Length
from people.audit import record
from people.models import Person
from releases.actions.stale import done_anew, note_change
from releases.cutting_list import PieceBoxes
from releases.models import Material, Piece, PieceSize, Version
from releases.stale import Change, Touched
from releases.stale_store import boxes_touched, piece_boxes


@transaction.atomic
def write_materials(*, version: Version, materials: Sequence[Mapping[str, Any]], by: Person) -> None:
    """Write the materials of a version in their order. One that keeps its name keeps its pieces; others go with theirs.

    Each has name, kind, widths (a list of Length), selvedge, repeat, gap (Length or None), nap, shrinkage and
    cut_from (the name of another, or nothing).
    """
    Version.objects.select_for_update().get(pk=version.pk)
    known = {material.name: material for material in version.materials.all()}
    before = {name: _cloth(material) for name, material in known.items()}
    version.materials.exclude(name__in=[fields["name"] for fields in materials]).delete()
    made = {}
    for number, fields in enumerate(materials, start=1):
        material = known.get(fields["name"]) or Material(version=version, name=fields["name"])
        _fill(material, number, fields)
        material.save()
        made[material.name] = material
    for fields in materials:
        material = made[fields["name"]]
        material.cut_from = made.get(fields.get("cut_from") or "")
        material.save(update_fields=["cut_from"])
    told = [[fields["name"], fields["kind"], [width.mm for width in fields["widths"]]] for fields in materials]
    record(studio=version.pattern.studio, by=by, verb="materials_written", thing=version, content=told)
    changed = [name for name, was in before.items() if name not in made or _cloth(made[name]) != was]
    note_change(version=version, change=Change("materials", tuple(Touched(name, name) for name in changed)), by=by)
    _lay_on_commit(version)


def _cloth(material: Material) -> tuple[object, ...]:
    """What a layout is made from, as it is compared before and after."""
    lengths = (material.selvedge_mm, material.repeat_mm, material.gap_mm, material.shrinkage)
    widths = tuple(Decimal(width["mm"]) for width in material.widths)
    return widths, material.nap, tuple(Decimal(length) for length in lengths)


def _fill(material: Material, number: int, fields: Mapping[str, Any]) -> None:
    material.number, material.kind = number, fields["kind"]
    material.nap, material.shrinkage = fields["nap"], fields["shrinkage"] or 0
    material.widths = [{"mm": str(width.mm), "typed": width.typed} for width in fields["widths"]]
    for name in ("selvedge", "repeat", "gap"):
        length: Length | None = fields[name]
        setattr(material, f"{name}_mm", length.mm if length else 0)
        setattr(material, f"{name}_typed", length.typed if length else "")


@transaction.atomic
def write_pieces(*, version: Version, pieces: Sequence[PieceBoxes], sizes: Sequence[str], by: Person) -> None:
    """Replace the cutting list of a version; every piece names one of its materials. Layouts follow in a worker."""
    Version.objects.select_for_update().get(pk=version.pk)
    materials = {material.name: material for material in version.materials.all()}
    before = piece_boxes(version)
    Piece.objects.filter(material__version=version).delete()
    for number, piece in enumerate(pieces, start=1):
        made = Piece.objects.create(
            material=materials[piece.material],
            number=number,
            name=piece.name,
            count=piece.count,
            cut=piece.cut,
            grain=piece.grain,
        )
        PieceSize.objects.bulk_create(_boxes(made, piece, sizes))
    told = [[piece.name, piece.material, piece.count, piece.cut, piece.grain] for piece in pieces]
    record(studio=version.pattern.studio, by=by, verb="cutting_list_written", thing=version, content=told)
    done_anew(version=version, deed="pieces", by=by)
    touched = boxes_touched(before, piece_boxes(version))
    note_change(version=version, change=Change("pieces", touched), by=by)
    _lay_on_commit(version)


def _boxes(made: Piece, piece: PieceBoxes, sizes: Sequence[str]) -> Iterable[PieceSize]:
    for size, box in zip(sizes, piece.boxes, strict=True):
        if box:
            length, width = box
            yield PieceSize(
                piece=made,
                size=size,
                length_mm=length.mm,
                length_typed=length.typed,
                width_mm=width.mm,
                width_typed=width.typed,
            )


def copy_cutting_list(version: Version, copied: Version) -> None:
    """Give a version the materials and pieces of another; within the transaction that makes it. Layouts follow."""
    made: dict[int, Material] = {}
    for material in copied.materials.prefetch_related("pieces__boxes"):
        pieces, old = list(material.pieces.all()), material.pk
        made[old] = _copy(material, version=version, cut_from=made.get(material.cut_from_id or 0))
        for piece in pieces:
            boxes = list(piece.boxes.all())
            new = _copy(piece, material=made[old])
            for box in boxes:
                box.pk, box.piece = None, new
            PieceSize.objects.bulk_create(boxes)
    if made:
        _lay_on_commit(version)


def _copy(row: Any, **fields: Any) -> Any:
    values = {f.attname: getattr(row, f.attname) for f in row._meta.concrete_fields if f.name not in {"id", "ref"}}
    return type(row).objects.create(**{**values, **{f"{name}_id": one and one.pk for name, one in fields.items()}})


def ask_for_layouts(*, version: Version, by: Person) -> None:
    """Have the layouts made that are not yet made, or were given up."""
    record(studio=version.pattern.studio, by=by, verb="layouts_asked", thing=version)
    _lay_on_commit(version)


def _lay_on_commit(version: Version) -> None:
    from releases.jobs import lay_pieces

    transaction.on_commit(partial(lay_pieces.enqueue, version.ref))

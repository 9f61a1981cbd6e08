"""Between the models and the layouts: what a size needs of a cloth, as it would be laid and as it was laid.

A cloth is a material of its own, with the materials that are cut from it. Inside, lengths are thousandths of a
millimetre, as the layouts' whole numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from measurements.sentences import Sentence
from people.audit import digest
from releases.fabric_units import INTERFACING_CM, Bought, buy
from releases.lay_plan import plan, quick_plan
from releases.lay_types import Cloth, Cut, CutPiece, Grain, LayPlan
from releases.models import FabricRequirement, Material, MaterialKind, Piece, Version

PARTS = 1000
CM = Fraction(10 * PARTS)
# Layouts are made anew when the way they are made changes.
METHOD = 1


@dataclass(frozen=True)
class ClothOf:
    """A material that is bought, and all that is cut from it."""

    material: Material
    shared: tuple[Material, ...] = ()
    laid: Mapping[tuple[str, Decimal], FabricRequirement] = field(default_factory=dict)

    @property
    def all(self) -> tuple[Material, ...]:
        return (self.material, *self.shared)

    @property
    def widths(self) -> list[Decimal]:
        return sorted({Decimal(str(width["mm"])) for width in self.material.widths})

    def pieces(self, size: str) -> list[CutPiece]:
        """The cutting list in one size; a piece that has no box there is not cut."""
        return [
            made
            for material in self.all
            for piece in material.pieces.all()
            for made in _cut_piece(piece, material, size)
        ]

    def cloth(self, width_mm: Decimal) -> Cloth:
        material = self.material
        return Cloth(
            width=_parts(width_mm),
            selvedge=_parts(material.selvedge_mm),
            cm=CM,
            nap=material.nap,
            shrinkage=Fraction(material.shrinkage) / 100,
            repeat=_parts(material.repeat_mm),
            gap=_parts(material.gap_mm),
        )


@dataclass(frozen=True)
class Asked:
    """One layout that is asked for: cloth, size, width, and the content that tells it from later ones."""

    cloth: ClothOf
    size: str
    width_mm: Decimal
    pieces: list[CutPiece]
    content: str

    @property
    def known(self) -> FabricRequirement | None:
        """The layout that was made of this very content."""
        found = self.cloth.laid.get((self.size, self.width_mm))
        return found if found and found.content == self.content else None


def cloths_of(version: Version) -> list[ClothOf]:
    """The cloths of a version in their order, those without a piece left out. Four queries."""
    materials = list(version.materials.prefetch_related("pieces__boxes", "requirements"))
    shared: dict[int, list[Material]] = {}
    for material in materials:
        if material.cut_from_id:
            shared.setdefault(material.cut_from_id, []).append(material)
    made = [
        ClothOf(
            material,
            tuple(shared.get(material.pk, ())),
            {(one.size, one.width_mm): one for one in material.requirements.all()},
        )
        for material in materials
        if not material.cut_from_id
    ]
    return [cloth for cloth in made if any(list(material.pieces.all()) for material in cloth.all)]


def asked(version: Version, cloths: Iterable[ClothOf] | None = None) -> Iterator[Asked]:
    """Every layout of a version: each cloth in each size at each width."""
    for cloth in cloths_of(version) if cloths is None else cloths:
        for size in version.sizes:
            pieces = cloth.pieces(size)
            for width in cloth.widths if pieces else ():
                told = [METHOD, [repr(piece) for piece in pieces], repr(cloth.cloth(width))]
                yield Asked(cloth, size, width, pieces, digest(told))


@dataclass(frozen=True)
class Need:
    """What one size needs at one width. `sure`: from its full layout; else an estimate that the layout keeps."""

    size: str
    width_mm: Decimal
    sure: bool
    way: str = ""
    length_mm: Decimal | None = None
    bought: Bought | None = None
    refused: tuple[Sentence, ...] = ()
    ref: str = ""


def need_of(one: Asked) -> Need:
    """From the layout if it is made; else at once, from the layout in bands."""
    known, shrinkage = one.known, one.cloth.cloth(one.width_mm).shrinkage
    if known is None:
        return _need(one, quick_plan(one.pieces, one.cloth.cloth(one.width_mm)))
    refused = tuple(stored_sentence(told) for told in known.refused)
    bought = buy(Fraction(known.length_mm) / 10, shrinkage) if known.length_mm is not None else None
    return Need(one.size, one.width_mm, True, known.way, known.length_mm, bought, refused, known.ref)


def _need(one: Asked, made: LayPlan) -> Need:
    cloth = one.cloth.cloth(one.width_mm)
    if made.length is None or made.way is None:
        # What does not fit in a quick layout fits in none.
        return Need(one.size, one.width_mm, True, refused=made.refused)
    bought = buy(made.length / cloth.cm, cloth.shrinkage)
    return Need(one.size, one.width_mm, False, made.way.value, _mm(made.length), bought)


def full_layout(one: Asked) -> dict[str, Any]:
    """The fields of a requirement, from its full layout."""
    cloth = one.cloth.cloth(one.width_mm)
    made = plan(one.pieces, cloth)
    fields: dict[str, Any] = {
        "content": one.content,
        "way": made.way.value if made.way else "",
        "length_mm": None,
        "tenths_of_metre": None,
        "eighths_of_yard": None,
        "placements": [_told(laid, one.pieces) for laid in made.placements],
        "refused": [
            {"code": why.code, "template": why.template, "values": [[name, str(v)] for name, v in why.values]}
            for why in made.refused
        ],
    }
    if made.length is not None:
        bought = buy(made.length / cloth.cm, cloth.shrinkage)
        fields |= {
            "length_mm": _mm(made.length),
            "tenths_of_metre": bought.tenths,
            "eighths_of_yard": bought.eighths,
        }
    return fields


def _told(laid: Any, pieces: list[CutPiece]) -> dict[str, Any]:
    piece = pieces[laid.piece]
    return {
        "piece": laid.piece,
        "name": piece.name,
        "material": piece.material,
        "cut": piece.cut.value,
        "grain": piece.grain.value,
        "x": laid.x,
        "y": laid.y,
        "length": laid.length,
        "width": laid.width,
        "turned": laid.turned,
        "opened": laid.opened,
    }


def stored_sentence(told: Mapping[str, Any]) -> Sentence:
    """A reason as it was stored; every value but a piece's name is a length."""
    values = tuple((name, value if name == "piece" else Decimal(value)) for name, value in told["values"])
    return Sentence(told["code"], told["template"], values)


def _cut_piece(piece: Piece, material: Material, size: str) -> Iterator[CutPiece]:
    for box in piece.boxes.all():
        if box.size == size:
            made = CutPiece(
                piece.name,
                material.name,
                piece.count,
                Cut(piece.cut),
                Grain(piece.grain),
                _parts(box.length_mm),
                _parts(box.width_mm),
            )
            yield _with_a_rim(made) if material.kind == MaterialKind.INTERFACING else made


def _with_a_rim(piece: CutPiece) -> CutPiece:
    """Interfacing is cut as a block, larger all round, fused, and then cut with its piece. A fold has no rim."""
    rim = INTERFACING_CM * int(CM)
    return replace(
        piece, length=piece.length + 2 * rim, width=piece.width + (rim if piece.cut == Cut.FOLD else 2 * rim)
    )


def _parts(mm: Decimal) -> int:
    """Thousandths of a millimetre, up: a box is never too small."""
    return -int(-Decimal(mm) * PARTS // 1)


def _mm(parts: int) -> Decimal:
    return Decimal(parts) / PARTS

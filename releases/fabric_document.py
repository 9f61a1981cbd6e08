"""The fabric requirement on paper: the table for the booklet, and the layouts that it comes from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.conf import settings
from django.utils import timezone
from django.utils.text import get_valid_filename
from django.utils.translation import gettext as _

from measurements.sentences import Sentence
from measurements.translated import both_units, by_locale
from people.audit import digest
from releases.fabric_store import asked, cloths_of, stored_sentence
from releases.fabric_units import Bought, buy
from releases.lay_drawing import LEAST_SHAPE, PAPER_SHAPE, STYLE, Drawing, LayWords, draw
from releases.layouts import FabricTable, fabric_table
from releases.models import FabricRequirement, Piece, Version
from releases.paper import Paper, Tell, render_pdf


@dataclass(frozen=True)
class ShownLayout:
    """A layout with its drawing, for a page."""

    row: FabricRequirement
    title: str
    drawing: Drawing | None
    legend: tuple[Mapping[str, Any], ...]
    bought: Bought | None
    refused: tuple[Sentence, ...]


def picture(found: FabricRequirement, shape: float = LEAST_SHAPE) -> Drawing | None:
    """The drawing of a layout; none where nothing could be laid."""
    if found.length_mm is None:
        return None
    words = LayWords(fold=_("fold"), selvedge=_("selvedge"), opened=_("opened, one layer"), mark=by_locale("."))
    usable = found.width_mm - found.material.selvedge_mm
    return draw(found.placements, found.length_mm, Decimal(usable), words, shape)


def legend(found: FabricRequirement) -> tuple[Mapping[str, Any], ...]:
    """Each piece of a layout once, in the order of its numbers: what it is, and how it is cut."""
    cuts, grains = dict(Piece.Cut.choices), dict(Piece.Grain.choices)
    lines: dict[str, dict[str, Any]] = {}
    for one in found.placements:
        line = lines.setdefault(
            one["name"],
            {
                "number": len(lines) + 1,
                "name": one["name"],
                "material": one["material"] if one["material"] != found.material.name else "",
                "cut": cuts[one["cut"]],
                "grain": grains[one["grain"]],
                "cm": _sides(one, "cm"),
                "inches": _sides(one, "in"),
                "boxes": 0,
            },
        )
        line["boxes"] += 1
    return tuple(lines.values())


def _sides(one: Mapping[str, Any], unit: str) -> str:
    sides = " × ".join(STYLE.number(Decimal(one[key]) / 1000, unit) for key in ("length", "width"))
    return f"{by_locale(sides)} {unit}"


def shown_layout(row: FabricRequirement, shape: float = LEAST_SHAPE) -> ShownLayout:
    said = {"material": row.material.name, "size": row.size, "width": both_units(STYLE, row.width_mm)}
    title = _("Layout of %(material)s in size %(size)s on cloth %(width)s wide") % said
    refused = tuple(stored_sentence(told) for told in row.refused)
    bought = None
    if row.length_mm is not None:
        bought = buy(Fraction(row.length_mm) / 10, Fraction(row.material.shrinkage) / 100)
    return ShownLayout(row, title, picture(row, shape), legend(row), bought, refused)


def layouts_of(table: FabricTable, size: str = "") -> list[str]:
    """The refs of the layouts that can be drawn: of one size, or of all."""
    return [
        need.ref
        for cloth in table.cloths
        for row_size, needs in cloth.rows
        for need in needs
        if need and need.ref and need.length_mm is not None and size in ("", row_size)
    ]


def shown_layouts(version: Version, refs: Iterable[str]) -> list[ShownLayout]:
    """Those layouts drawn for paper, by material, size and width."""
    rows = FabricRequirement.objects.filter(ref__in=list(refs)).select_related("material")
    return [shown_layout(row, PAPER_SHAPE) for row in _in_order(rows, version.sizes)]


def fabric_pdf(
    version: Version, paper: Paper, size: str = "", *, every: bool = False, tell: Tell | None = None
) -> bytes:
    """The table of every size, and the layouts of one size; of all where they are few enough, or with `every`."""
    table = fabric_table(version)
    wanted = layouts_of(table, size)
    few = every or len(wanted) <= settings.LAYOUTS_AT_ONCE
    context = {
        "version": version,
        "pattern": version.pattern,
        "table": table,
        "size": size,
        "layouts": shown_layouts(version, wanted) if few else [],
        "too_many": not few,
        "today": timezone.localdate(),
    }
    return render_pdf("paper/fabric.html", context, paper=paper.key, tell=tell)


def fabric_content(version: Version) -> str:
    """Tells one document of all layouts from another."""
    pattern, cloths = version.pattern, cloths_of(version)
    told = [(one.cloth.material.name, one.size, str(one.width_mm), one.content) for one in asked(version, cloths)]
    named = [(one.name, one.kind, str(one.shrinkage)) for cloth in cloths for one in cloth.all]
    made = sorted(one.ref for cloth in cloths for one in cloth.laid.values())
    return digest([pattern.name, version.number, pattern.studio.name, version.base_size, named, told, made])


def _in_order(rows: Iterable[FabricRequirement], sizes: Sequence[str]) -> list[FabricRequirement]:
    places = {size: place for place, size in enumerate(sizes)}
    return sorted(rows, key=lambda row: (row.material.number, places.get(row.size, 0), row.width_mm))


def file_name(version: Version, paper: Paper) -> str:
    return get_valid_filename(f"{version.pattern.name} {version.number} fabric {paper.key}.pdf").lower()

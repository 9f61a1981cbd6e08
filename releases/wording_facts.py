"""What a version declares, as the JSON that its words are held against: docs/wording-facts.md."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from measurements.length_display import plain
from releases.file_facts import inspection_of
from releases.models import FileKind, Notion, Version
from releases.wording.words import spoken_dialect

# The allowances of a version, by the names of the facts.
_ALLOWANCES = {"seam": "seam_allowance", "hem": "hem", "notch": "notch", "lining_offset": "lining_offset"}


def version_facts(version: Version) -> dict[str, Any]:
    """The facts of a version as values of JSON; what it does not declare is left out."""
    facts = {
        "unit": "cm",
        "pattern": str(version.pattern),
        "number": version.number,
        "allowances": dict(_allowances(version)),
        "sizes": list(version.sizes),
        "pieces": list(_pieces(version)),
        "notions": list(_needed(version, Notion.Kind.NOTION)),
        "tools": list(_needed(version, Notion.Kind.TOOL)),
        "materials": [material.name for material in version.materials.all()],
        "square_page": _square_page(version),
        "layers": _layers(version),
        "steps": version.steps.count(),
        "dialect": _dialect(version),
        "for_children": version.pattern.for_children,
    }
    return {name: value for name, value in facts.items() if value not in (None, "", [], {})}


def _cm(mm: Decimal) -> str:
    return f"{plain(mm)} mm" if mm < 10 else f"{plain(mm / 10)} cm"


def _allowances(version: Version) -> Iterator[tuple[str, str]]:
    for name, field in _ALLOWANCES.items():
        mm = getattr(version, f"{field}_mm")
        if mm is not None:
            yield name, _cm(mm)


def _pieces(version: Version) -> Iterator[dict[str, Any]]:
    for material in version.materials.prefetch_related("pieces"):
        for piece in material.pieces.all():
            yield {"name": piece.name, "count": piece.count, "cut": piece.cut, "material": material.get_kind_display()}


def _needed(version: Version, kind: str) -> Iterator[dict[str, Any]]:
    for one in version.notions.all():
        if one.kind == kind:
            found = {"name": one.name, "amount": one.amount, "optional": one.optional}
            yield {name: value for name, value in found.items() if value}


def _square_page(version: Version) -> int | None:
    """The page of the test square, where all tiled files have theirs on the same."""
    tiled = version.current_files().filter(kind__in=[FileKind.A4, FileKind.LETTER])
    looks = [look for file in tiled if (look := inspection_of(file)) and look.squares]
    pages = {look.squares[0].page for look in looks}
    return pages.pop() if len(pages) == 1 else None


def _layers(version: Version) -> list[str]:
    """The layers of the first file to print that has any."""
    looks = (inspection_of(file) for file in version.current_files().exclude(kind=FileKind.BOOKLET))
    return next((list(look.layers) for look in looks if look and look.layers), [])


def _dialect(version: Version) -> str:
    """The one that the booklet's words and its notions mostly speak."""
    words = [*version.steps.values_list("text", flat=True), *version.notions.values_list("name", flat=True)]
    return spoken_dialect(". ".join([*words, version.suits, version.unsuited, version.printing]))

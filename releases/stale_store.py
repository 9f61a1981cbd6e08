"""Stale marks of stored versions: what a version has, which rows differ, and the marks that are open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.charts import ChartTable
from measurements.sentences import Sentence, Term
from measurements.translated import in_words
from releases.file_comparisons import version_before
from releases.models import FileKind, MaterialKind, Piece, Stale, Version
from releases.stale import NAMES, Has, Mark, Touched, span
from releases.tables import charts_of

# Where a thing is done anew: the page and its words.
DOINGS = {
    "pages": ("version_files", gettext_lazy("Add the new files")),
    "fabric": ("version_cutting_list", gettext_lazy("Open the cutting list")),
    "lining": ("version_cutting_list", gettext_lazy("Open the cutting list")),
    "opening": ("version_finished", gettext_lazy("Open the finished measurements")),
    "tables": ("measurement_tables", gettext_lazy("Make the tables anew")),
    "text": ("version_steps", gettext_lazy("Open the steps")),
    "zones": ("version_grade", gettext_lazy("Open the grade check")),
    "files": ("version_changed", gettext_lazy("See what changed")),
}


def has_of(version: Version) -> Has:
    """What can be left behind: what the version has itself, and the files of the one that it comes from."""
    before = version_before(version)
    kinds = set(version.current_files().values_list("kind", flat=True))
    if before:
        kinds |= set(before.current_files().values_list("kind", flat=True))
    finished = charts_of(version)[1]
    pieces = Piece.objects.filter(material__version=version)
    return Has(
        sizes=tuple(version.sizes),
        measures=tuple(line.key for line in finished.lines),
        files=bool(kinds - {FileKind.BOOKLET}),
        booklet=FileKind.BOOKLET in kinds,
        pieces=pieces.exists(),
        lining=pieces.filter(material__kind=MaterialKind.LINING).exists(),
        steps=tuple(version.steps.values_list("number", "text")),
    )


def rows_touched(old: ChartTable, new: ChartTable) -> tuple[Touched, ...]:
    """The rows of a chart that differ, each with the sizes in which they do. One that is only new touches nothing."""
    found = []
    for line in old.lines:
        now = new.line(line.key)
        sizes = [
            size
            for size, cell in zip(old.sizes, line.cells, strict=True)
            if cell is not None and cell.mm != (new.mm_at(line.key, size) if now else None)
        ]
        if sizes:
            found.append(Touched(line.key, line.label, tuple(sizes)))
    return tuple(found)


def piece_boxes(version: Version) -> dict[str, dict[str, tuple[object, ...]]]:
    """{piece: {size: how it is cut there}}."""
    pieces = Piece.objects.filter(material__version=version).select_related("material").prefetch_related("boxes")
    return {
        f"{piece.name} ({piece.material.name})": {
            box.size: (box.length_mm, box.width_mm, piece.count, piece.cut, piece.grain) for box in piece.boxes.all()
        }
        for piece in pieces
    }


def boxes_touched(
    old: Mapping[str, Mapping[str, object]], new: Mapping[str, Mapping[str, object]]
) -> tuple[Touched, ...]:
    """The pieces that differ, each with the sizes in which they do; a first cutting list touches nothing."""
    found = []
    for name in dict.fromkeys([*old, *new]) if old else ():
        before, now = old.get(name, {}), new.get(name, {})
        sizes = [size for size in dict.fromkeys([*before, *now]) if before.get(size) != now.get(size)]
        if sizes:
            found.append(Touched(name, name, tuple(sizes)))
    return tuple(found)


def as_stored(mark: Mark) -> dict[str, Any]:
    """A sentence of a mark as JSON, its catalogue names told apart so that they are translated again."""
    why = mark.why
    return {
        "code": why.code,
        "template": why.template,
        "values": [[name, value, isinstance(value, Term)] for name, value in why.values],
        "sizes": list(mark.sizes),
    }


def as_sentence(stored: Mapping[str, Any]) -> Sentence:
    values = tuple((name, Term(value) if is_term else value) for name, value, is_term in stored["values"])
    return Sentence(stored["code"], stored["template"], values)


@dataclass(frozen=True)
class StaleLine:
    """An open mark as a page lists it: its name, its sizes, every reason, and where it is done anew."""

    mark: Stale
    name: str
    sizes: str
    why: tuple[str, ...]
    url: str
    action: str


def open_marks(version: Version) -> list[StaleLine]:
    return [_line(version, mark) for mark in version.stale_marks.filter(cleared_at=None)]


def stale_sizes(version: Version, what: Iterable[str]) -> set[str]:
    """The sizes in which one of these things is left behind."""
    marks = version.stale_marks.filter(cleared_at=None, what__in=list(what))
    return {size for mark in marks for size in mark.sizes}


def _line(version: Version, mark: Stale) -> StaleLine:
    page, action = DOINGS[mark.what]
    if mark.what == "text" and any(one["code"] == "booklet" for one in mark.why):
        page, action = "version_files", gettext_lazy("Add the new booklet")
    why = tuple(dict.fromkeys(in_words(as_sentence(one)) for one in mark.why))
    sizes = span(mark.sizes, version.sizes)
    return StaleLine(mark, _(NAMES[mark.what]), sizes, why, reverse(page, args=[version.ref]), str(action))


def named(lines: Sequence[Touched]) -> str:
    """What changed in a few words, for the note of a lapsed size."""
    return ", ".join(one.name for one in lines)

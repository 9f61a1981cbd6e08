"""All that changed between a version and the one before it: files, measurements, pieces, fabric, notions, steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial

from django.utils.text import get_valid_filename
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from releases.file_comparisons import FilePair, file_pairs, version_before
from releases.models import FileKind, Notion, Piece, PieceSize, Version
from releases.paper import Paper
from releases.tables import charts_of
from releases.version_changes import (
    Line,
    MeasureChange,
    StepChange,
    line_changes,
    measure_changes,
    step_changes,
)


@dataclass(frozen=True)
class Part:
    """A sort of things that changed, under its heading."""

    key: str
    title: str
    lines: list[Line]


@dataclass(frozen=True)
class WhatChanged:
    """Version and the one before; without one before there is nothing to compare with."""

    version: Version
    before: Version | None
    files: list[FilePair] = field(default_factory=list)
    measures: list[MeasureChange] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    steps: list[StepChange] = field(default_factory=list)

    @property
    def waits(self) -> bool:
        return any(pair.waits for pair in self.files)

    @property
    def unasked(self) -> bool:
        """Whether files are there that nobody compared yet, or that could not be compared."""
        return any(pair.old and pair.new and not pair.same and not (pair.waits or pair.result) for pair in self.files)

    @property
    def pages(self) -> int:
        """The most pages of one file: nobody prints several."""
        return max((len(pair.result.reprint) for pair in self.files if pair.result), default=0)

    @property
    def headline(self) -> str:
        """The situation in a sentence."""
        number = self.version.number
        if self.before is None:
            return _("Version %(number)s is the first: there is nothing to compare it with.") % {"number": number}
        told = {"number": number, "before": self.before.number, "pages": self.pages}
        if self.waits:
            return _("The files of %(number)s are being compared with those of %(before)s.") % told
        if self.unasked:
            return _("The files of %(number)s are not compared with those of %(before)s yet.") % told
        if any(pair.result and pair.result.moved_mm for pair in self.files):
            return _("The drawing moved on its pages since %(before)s: print all of it again.") % told
        if self.pages:
            said = ngettext(
                "Since %(before)s, %(pages)s page must be printed again.",
                "Since %(before)s, %(pages)s pages must be printed again.",
                self.pages,
            )
            return said % told
        if self.measures or self.parts or self.steps:
            return _("Since %(before)s no page must be printed again; what is said of the pattern changed.") % told
        return _("Nothing changed since %(before)s.") % told


def what_changed(version: Version) -> WhatChanged:
    before = version_before(version)
    if before is None:
        return WhatChanged(version, None)
    return WhatChanged(
        version,
        before,
        file_pairs(version, before),
        measure_changes(charts_of(before)[1], charts_of(version)[1]),
        [part for part in _parts(before, version) if part.lines],
        step_changes(_steps(before), _steps(version)),
    )


def _steps(version: Version) -> list[tuple[int, str]]:
    return [(step.number, step.text) for step in version.steps.all()]


def _parts(before: Version, version: Version) -> list[Part]:
    sorts = (
        ("pieces", _("Pieces"), _pieces),
        ("fabric", _("Fabric"), _fabric),
        ("notions", _("Notions"), partial(_needed, kind=Notion.Kind.NOTION)),
        ("tools", _("Tools"), partial(_needed, kind=Notion.Kind.TOOL)),
    )
    return [Part(key, title, line_changes(said(before), said(version))) for key, title, said in sorts]


def _pieces(version: Version) -> dict[str, str]:
    """How each piece is cut, and its box in every size, in cm."""
    found: dict[str, str] = {}
    pieces = Piece.objects.filter(material__version=version).select_related("material").prefetch_related("boxes")
    for piece in pieces.order_by("material__number", "number"):
        said = [f"{piece.count} {piece.get_cut_display()}", piece.get_grain_display()]
        said += [f"{box.size}: {_box(box)}" for box in piece.boxes.all()]
        found[f"{piece.name} ({piece.material.name})"] = ", ".join(said)
    return found


def _box(box: PieceSize) -> str:
    return f"{box.length_mm.normalize() / 10:f} × {box.width_mm.normalize() / 10:f} cm"


def _fabric(version: Version) -> dict[str, str]:
    """What is bought of each material in each size and width."""
    found: dict[str, str] = {}
    for material in version.materials.prefetch_related("requirements"):
        for need in material.requirements.all():
            width = f"{need.width_mm.normalize() / 10:f}"
            what = _("%(material)s, %(width)s cm wide, size %(size)s") % {
                "material": material.name,
                "width": width,
                "size": need.size,
            }
            found[what] = _bought(need.tenths_of_metre, need.eighths_of_yard)
    return found


def _needed(version: Version, *, kind: str) -> dict[str, str]:
    """How much of each notion or tool, and which can be done without."""
    rows = version.notions.filter(kind=kind)
    return {row.name: ", ".join(filter(None, [row.amount, _("optional") if row.optional else ""])) for row in rows}


def _bought(tenths: int | None, eighths: int | None) -> str:
    if tenths is None or eighths is None:
        return _("does not go on this width")
    whole, rest = divmod(eighths, 8)
    parts = {1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 5: "5/8", 6: "3/4", 7: "7/8"}
    yards = " ".join(part for part in (str(whole) if whole or not rest else "", parts.get(rest, "")) if part)
    return _("%(metres)s m, %(yards)s yd") % {"metres": f"{tenths / 10:g}", "yards": yards}


def file_name(version: Version, paper: Paper) -> str:
    return get_valid_filename(f"{version.pattern.name} {version.number} what changed {paper.key}.pdf").lower()


def ranges(numbers: Sequence[int]) -> str:
    """ "1–4, 7" """
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs)


def kind_name(kind: str) -> str:
    names: Mapping[str, str] = {value: str(label) for value, label in FileKind.choices}
    return names.get(kind, kind)

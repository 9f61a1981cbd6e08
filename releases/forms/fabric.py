"""Materials and the cutting list as they are typed: a form a material, a table of pieces, a sheet that fills it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.forms import BaseFormSet, formset_factory
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.chart_text import ChartError, text_grid
from measurements.fields import LengthInput
from measurements.lengths import Length, LengthError, Unit, read_length
from measurements.sentences import Sentence
from measurements.sheets import file_grids
from measurements.translated import in_words
from people.audit import digest
from releases.cutting_list import ListRow, read_sheet
from releases.forms.sheets import SheetFileField
from releases.models import Material, MaterialKind, Piece, Version

_BETWEEN = re.compile(r"\s*(?:;|\n|,\s|\band\b)\s*")
SPARE_ROWS = 3
UNITS_TRIED: tuple[Unit, ...] = ("cm", "in", "mm")
COLUMNS = ("name", "material", "count", "cut", "grain")


class MaterialForm(forms.Form):
    """One material; a form without a name is left out."""

    name = forms.CharField(label=gettext_lazy("Name"), max_length=40, required=False)
    kind = forms.ChoiceField(label=gettext_lazy("What it is"), choices=MaterialKind.choices)
    widths = forms.CharField(
        label=gettext_lazy("Widths offered"),
        max_length=80,
        required=False,
        help_text=gettext_lazy("Each width that a buyer may find, such as 115; 140."),
    )
    selvedge = LengthInput(label=gettext_lazy("Both selvedges together"), required=False, most=Decimal(200))
    shrinkage = forms.DecimalField(
        label=gettext_lazy("Shrinkage, per cent"), required=False, min_value=0, max_value=50, decimal_places=1
    )
    repeat = LengthInput(label=gettext_lazy("Repeat of the print"), required=False, most=Decimal(2000))
    gap = LengthInput(label=gettext_lazy("Space between pieces"), required=False, most=Decimal(100))
    nap = forms.BooleanField(label=gettext_lazy("All pieces point one way (nap, or a one-way print)"), required=False)
    shared = forms.BooleanField(label=gettext_lazy("Cut from the first material's cloth, with it"), required=False)

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit = unit
        for name in ("selvedge", "repeat", "gap"):
            field: Any = self.fields[name]
            field.unit = unit

    def clean_widths(self) -> list[Length]:
        """The widths, each once. A unit behind the last one holds for all."""
        texts = [text for text in _BETWEEN.split(self.cleaned_data["widths"].strip()) if text]
        if len(texts) > settings.FABRIC_WIDTHS:
            raise forms.ValidationError(_("At most %(most)s widths."), params={"most": settings.FABRIC_WIDTHS})
        try:
            last = read_length(texts[-1], self.unit) if texts else None
            unit = last.unit if last and last.stated else self.unit
            widths = [read_length(text, unit) for text in texts]
        except LengthError as wrong:
            raise forms.ValidationError(in_words(wrong.sentence)) from None
        if any(not 200 <= width.mm <= 4000 for width in widths):
            raise forms.ValidationError(_("A cloth is 20 cm to 4 m wide. Check the number and its unit."))
        return list({width.mm: width for width in widths}.values())

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("name") and "widths" in cleaned and not cleaned["widths"] and not cleaned.get("shared"):
            self.add_error("widths", _("Give at least one width."))
        return cleaned


class BaseMaterials(BaseFormSet):
    def clean(self) -> None:
        if any(self.errors):
            return
        named = self.named()
        if not named:
            raise forms.ValidationError(_("Name at least one material."))
        if len({fields["name"].lower() for fields in named}) < len(named):
            raise forms.ValidationError(_("Two materials have the same name."))
        if named[0]["shared"]:
            raise forms.ValidationError(_("The first material is cut from its own cloth."))

    def named(self) -> list[dict[str, Any]]:
        """The materials as the action takes them."""
        forms_filled = [form.cleaned_data for form in self.forms if form.cleaned_data.get("name")]
        first = forms_filled[0]["name"] if forms_filled else ""
        return [{**fields, "cut_from": first if fields["shared"] else ""} for fields in forms_filled]


def materials_form(version: Version, unit: Unit, data: QueryDict | None = None) -> Any:
    """The formset of a version's materials, with one empty form; the first time with the usual three begun."""
    initial = [_initial(material) for material in version.materials.select_related("cut_from")]
    most: int = settings.FABRIC_MATERIALS
    extra = 1 if initial else 0
    usual: list[dict[str, Any]] = [
        {"name": _("Shell"), "kind": "shell", "widths": "115; 140 cm", "selvedge": "3 cm", "shrinkage": 3},
        {"name": _("Interfacing"), "kind": "interfacing", "widths": "90 cm", "selvedge": "0 cm", "shrinkage": 0},
        {"kind": "lining"},
    ]
    made = formset_factory(MaterialForm, formset=BaseMaterials, extra=extra, max_num=most, validate_max=True)
    return made(data, initial=initial or usual, form_kwargs={"unit": unit}, prefix="m")


def _initial(material: Material) -> dict[str, Any]:
    widths = "; ".join(_with_unit(width["typed"], width["mm"]) for width in material.widths)
    lengths = {
        name: _with_unit(getattr(material, f"{name}_typed"), getattr(material, f"{name}_mm"))
        for name in ("selvedge", "repeat", "gap")
    }
    return {
        "name": material.name,
        "kind": material.kind,
        "widths": widths,
        "shrinkage": material.shrinkage,
        "nap": material.nap,
        "shared": material.cut_from is not None,
        **lengths,
    }


def _with_unit(typed: str, mm: Decimal | str) -> str:
    """The text as typed, with the unit that makes it this length, whoever reads it."""
    if not typed:
        return ""
    for unit in UNITS_TRIED:
        found = read_length(typed, unit)
        if found.stated:
            return typed
        if found.mm == Decimal(mm):
            return f"{typed} {unit}"
    return typed


@dataclass(frozen=True)
class ListTable:
    """What stands in the table of pieces: the sizes, a unit for bare numbers, rows of texts."""

    sizes: tuple[str, ...]
    unit: Unit
    rows: tuple[ListRow, ...]

    @property
    def filled(self) -> tuple[ListRow, ...]:
        return tuple(row for row in self.rows if row.filled)

    @property
    def digest(self) -> str:
        return digest([self.sizes, self.unit, [repr(row) for row in self.filled]])

    def with_spare(self) -> tuple[ListRow, ...]:
        blank = ListRow(boxes=("",) * len(self.sizes))
        return (*self.filled, *[blank] * SPARE_ROWS)


def posted_table(data: QueryDict, sizes: Sequence[str], unit: Unit) -> ListTable:
    """The table as the browser sent it; fields that are missing are empty."""
    rows = []
    for i in range(settings.CUTTING_LIST_ROWS):
        if f"name-{i}" in data:
            name, material, count, cut, grain = (data.get(f"{column}-{i}", "").strip()[:60] for column in COLUMNS)
            boxes = tuple(data.get(f"b{i}.{j}", "").strip() for j in range(len(sizes)))
            rows.append(ListRow(name, material, count, cut, grain, boxes))
    return ListTable(tuple(sizes), unit, tuple(rows))


def stored_table(version: Version, unit: Unit) -> ListTable:
    """The cutting list as it was typed, each box with its unit where a bare number would be read as another."""
    rows = []
    for piece in Piece.objects.filter(material__version=version).select_related("material").prefetch_related("boxes"):
        boxes = {box.size: box for box in piece.boxes.all()}
        texts = tuple(_box_text(boxes.get(size), unit) for size in version.sizes)
        rows.append(ListRow(piece.name, piece.material.name, str(piece.count), piece.cut, piece.grain, texts))
    return ListTable(tuple(version.sizes), unit, tuple(rows))


def _box_text(box: Any, unit: Unit) -> str:
    if box is None:
        return ""
    sides = ((box.length_typed, box.length_mm), (box.width_typed, box.width_mm))
    return " x ".join(typed if read_length(typed, unit).mm == mm else _with_unit(typed, mm) for typed, mm in sides)


class CuttingSheetForm(forms.Form):
    """A cutting list pasted or as a file. `table` holds it in the version's sizes, `notes` say what was left out."""

    text = forms.CharField(
        label=gettext_lazy("Copied from a spreadsheet"),
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "wrap": "off", "spellcheck": "false"}),
        help_text=gettext_lazy(
            "First row: piece, material, count, cut, grain, and a column a size with its box (66 x 40)."
        ),
    )
    file = SheetFileField()
    table: ListTable | None = None
    notes: tuple[Sentence, ...] = ()

    def __init__(self, *args: Any, sizes: Sequence[str], unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sizes, self.unit = tuple(sizes), unit

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        text, file = cleaned.get("text") or "", cleaned.get("file")
        if self.errors:
            return cleaned
        if not file and not text.strip():
            self.add_error("text", _("Paste the list here, or choose a file."))
            return cleaned
        try:
            rows, self.notes = read_sheet(_grid(file, text), self.sizes)
        except (ChartError, LengthError) as wrong:
            self.add_error("file" if file else "text", in_words(wrong.sentence))
            return cleaned
        self.table = ListTable(self.sizes, self.unit, tuple(rows[: settings.CUTTING_LIST_ROWS]))
        return cleaned


def _grid(file: UploadedFile | None, text: str) -> Sequence[Sequence[str]]:
    """The cells of the first filled sheet; none where there is nothing."""
    if file is None:
        return text_grid(text)
    grids = file_grids(file.read())
    return grids[0] if grids else ()

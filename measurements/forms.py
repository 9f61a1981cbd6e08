"""Forms of size charts: the three ways to bring one, and what is said about it when it is saved."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.body_measures import BODY_MEASURES
from measurements.chart_draft import ChartDraft
from measurements.chart_grid import ChartGrid, GridRow
from measurements.chart_reading import read_chart_file, read_chart_text
from measurements.chart_text import ChartLimits
from measurements.lengths import Unit
from measurements.translated import in_words

UNITS = [("cm", gettext_lazy("centimetres")), ("in", gettext_lazy("inches")), ("mm", gettext_lazy("millimetres"))]
SHEET_UNITS = [("", gettext_lazy("as the sheet says")), *UNITS]
CM_STEPS = [("0.5", gettext_lazy("0.5 cm")), ("0.1", gettext_lazy("0.1 cm"))]
INCH_PARTS = [(8, gettext_lazy("1/8 in")), (16, gettext_lazy("1/16 in"))]
# What most patterns are drafted from; a studio ticks what it needs beside it.
USUAL_MEASURES = ("bust", "high_bust", "waist", "hip", "back_waist", "upper_arm", "height")


def chart_limits() -> ChartLimits:
    """The limits of reading a chart, as the settings say."""
    return ChartLimits(
        most_bytes=settings.CHART_FILE_BYTES, most_sizes=settings.CHART_SIZES, most_rows=settings.CHART_ROWS
    )


class PasteForm(forms.Form):
    """A chart copied from a spreadsheet or a document."""

    text = forms.CharField(
        label=gettext_lazy("The chart, sizes in the first row or the first column"),
        help_text=gettext_lazy("Copy the cells in your spreadsheet, with sizes and names, and paste them here."),
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "class": "paste"}),
        error_messages={"required": gettext_lazy("Paste the chart here first.")},
        strip=False,
    )
    unit = forms.ChoiceField(label=gettext_lazy("Its numbers are in"), choices=SHEET_UNITS, required=False)

    def draft(self) -> ChartDraft:
        unit: Any = self.cleaned_data["unit"] or None
        return read_chart_text(self.cleaned_data["text"], unit=unit, limits=chart_limits())

    def suggested_name(self) -> str:
        return ""


class FileForm(forms.Form):
    """A chart as a CSV or XLSX file."""

    file = forms.FileField(
        label=gettext_lazy("The file, CSV or XLSX"),
        help_text=gettext_lazy("Of several sheets the one with the most measurements is read."),
        error_messages={
            "required": gettext_lazy("Choose the file first."),
            "empty": gettext_lazy("This file is empty."),
        },
    )
    unit = forms.ChoiceField(label=gettext_lazy("Its numbers are in"), choices=SHEET_UNITS, required=False)

    def clean_file(self) -> UploadedFile:
        file: UploadedFile = self.cleaned_data["file"]
        if file.size and file.size > settings.CHART_FILE_BYTES:
            most = settings.CHART_FILE_BYTES // 1_000_000
            raise ValidationError(
                _("The file is larger than %(most)s MB. Save the chart alone as a file.") % {"most": most}
            )
        return file

    def draft(self) -> ChartDraft:
        unit: Any = self.cleaned_data["unit"] or None
        return read_chart_file(self.cleaned_data["file"].read(), unit=unit, limits=chart_limits())

    def suggested_name(self) -> str:
        name = self.cleaned_data["file"].name or ""
        return re.sub(r"[_\s]+", " ", name.rpartition(".")[0]).strip()[:120]


class StartForm(forms.Form):
    """An empty grid: its sizes and its measurements."""

    sizes = forms.CharField(
        label=gettext_lazy("Sizes, in their order"),
        help_text=gettext_lazy("Separated by commas or spaces: 6 8 10 12 14, or XS, S, M, L."),
        max_length=2000,
        error_messages={"required": gettext_lazy("Type the sizes first.")},
    )
    measures = forms.MultipleChoiceField(
        label=gettext_lazy("Measurements"),
        choices=[],
        initial=USUAL_MEASURES,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": gettext_lazy("Choose at least one measurement.")},
    )
    unit = forms.ChoiceField(label=gettext_lazy("You will type in"), choices=UNITS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        measures: Any = self.fields["measures"]
        measures.choices = [(measure.key, _(measure.name)) for measure in BODY_MEASURES]

    def clean_sizes(self) -> tuple[str, ...]:
        typed: str = self.cleaned_data["sizes"]
        separator = r"[,;\n]+" if re.search(r"[,;\n]", typed) else r"\s+"
        labels = tuple(label.strip() for label in re.split(separator, typed) if label.strip())
        if len(labels) > settings.CHART_SIZES:
            raise ValidationError(_("A chart has at most %(most)s sizes.") % {"most": settings.CHART_SIZES})
        return labels

    def grid(self) -> ChartGrid:
        sizes, unit = self.cleaned_data["sizes"], self.cleaned_data["unit"]
        rows = (GridRow(_(BODY_MEASURES[key].name), ("",) * len(sizes)) for key in self.cleaned_data["measures"])
        return ChartGrid(unit, sizes, tuple(rows))


class ChartForm(forms.Form):
    """What is said about a chart beside its cells."""

    name = forms.CharField(
        label=gettext_lazy("Name of the chart"),
        max_length=120,
        error_messages={"required": gettext_lazy("Give the chart a name.")},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    base = forms.TypedChoiceField(
        label=gettext_lazy("Base size"), required=False, coerce=int, empty_value=None, choices=[]
    )
    cm_step = forms.ChoiceField(label=gettext_lazy("Centimetres shown to"), choices=CM_STEPS)
    inch_parts = forms.TypedChoiceField(label=gettext_lazy("Inches shown to"), coerce=int, choices=INCH_PARTS)

    def __init__(self, *args: Any, sizes: tuple[str, ...] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        base: Any = self.fields["base"]
        base.choices = [("", _("not decided yet")), *enumerate(sizes)]


class NewChartForm(ChartForm):
    unit = forms.ChoiceField(label=gettext_lazy("Numbers without a unit are"), choices=UNITS)


class EditChartForm(ChartForm):
    note = forms.CharField(
        label=gettext_lazy("What changed, in a few words"),
        help_text=gettext_lazy("It stands in the chart's history. You may leave it empty."),
        max_length=300,
        required=False,
    )


class SaveCopyForm(EditChartForm):
    """The same where the base size is set in the grid."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["base"]


def refusal_of(draft: ChartDraft) -> str:
    return in_words(draft.refusal) if draft.refusal else ""


def unit_of(value: Any, otherwise: Unit = "cm") -> Unit:
    """A unit named in a form, or another where it is none."""
    return value if value in {"cm", "in", "mm"} else otherwise

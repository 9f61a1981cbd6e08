"""The form that brings a sample of bodies."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.body_measures import BODY_MEASURES
from measurements.body_sample import SampleRead, read_sample
from measurements.chart_text import ChartLimits
from measurements.forms import SHEET_UNITS
from measurements.translated import in_words


class SampleForm(forms.Form):
    """Whose bodies, from where, and the file. After `is_valid`, `read` is what the file gave."""

    read: SampleRead

    name = forms.CharField(
        label=gettext_lazy("Whose bodies these are"),
        max_length=120,
        error_messages={"required": gettext_lazy("Say whose bodies these are, such as “our customers, 2026”.")},
    )
    source = forms.CharField(
        label=gettext_lazy("Where they come from"),
        help_text=gettext_lazy("The survey, the year, and that you may use it. It stands beside every figure."),
        max_length=300,
        required=False,
    )
    file = forms.FileField(
        label=gettext_lazy("The file, CSV or XLSX"),
        help_text=gettext_lazy("A body a row; bust, waist, hip and so on in the first row. No other column is kept."),
        error_messages={
            "required": gettext_lazy("Choose the file first."),
            "empty": gettext_lazy("This file is empty."),
        },
    )
    unit = forms.ChoiceField(label=gettext_lazy("Its numbers are in"), choices=SHEET_UNITS, required=False)

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or {}
        file = said.get("file")
        if file is None:
            return said
        if file.size > settings.CHART_FILE_BYTES:
            most = settings.CHART_FILE_BYTES // 1_000_000
            self.add_error("file", ValidationError(_("The file is larger than %(most)s MB.") % {"most": most}))
            return said
        limits = ChartLimits(most_bytes=settings.CHART_FILE_BYTES, most_cells=settings.BODY_SAMPLE_CELLS)
        unit: Any = said.get("unit") or None
        self.read = read_sample(
            file.read(), catalogue=BODY_MEASURES, unit=unit, most=settings.BODY_SAMPLE_BODIES, limits=limits
        )
        if self.read.refusal:
            self.add_error("file", in_words(self.read.refusal))
        return said

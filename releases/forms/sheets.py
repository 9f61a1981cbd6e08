"""A sheet as it arrives in a form: a file that is no larger than a sheet may be."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.template.defaultfilters import filesizeformat
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy


class SheetFileField(forms.FileField):
    """A CSV or XLSX file beside the field to paste into; it may be left empty."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"label": gettext_lazy("Or a CSV or XLSX file"), "required": False, **kwargs})

    def clean(self, data: Any, initial: Any = None) -> UploadedFile | None:
        upload: UploadedFile | None = super().clean(data, initial)
        if upload and (upload.size or 0) > settings.CHART_FILE_BYTES:
            most = filesizeformat(settings.CHART_FILE_BYTES)
            raise ValidationError(_("This file is larger than %(most)s."), params={"most": most})
        return upload

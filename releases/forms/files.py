from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import Any

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import TemporaryUploadedFile, UploadedFile
from django.template.defaultfilters import filesizeformat
from django.utils.translation import gettext_lazy as _

from releases.models import FileKind
from releases.pdf_child import inspect
from releases.pdf_facts import PdfError, PdfFacts

WHY = {
    "not_pdf": _("This is not a PDF. Export the pattern as a PDF and choose that file."),
    "encrypted": _("This PDF is locked. Testers could not print it: save it without a password or restrictions."),
    "broken": _("This PDF is damaged or cut short. Export it again and choose the new file."),
    "no_pages": _("This PDF has no pages."),
    "too_many_pages": _("This PDF has more than %(pages)s pages. Choose the file of one version."),
    "script": _("This PDF runs a script when it is opened. Export it again as plain pages."),
}


class FileForm(forms.Form):
    """One PDF. Its content decides whether it is taken, not its name; `facts` holds what was found in it."""

    kind = forms.ChoiceField(label=_("What it is"), choices=FileKind.choices)
    file = forms.FileField(label=_("PDF file"), widget=forms.FileInput(attrs={"accept": "application/pdf,.pdf"}))
    facts: PdfFacts

    def clean_file(self) -> UploadedFile:
        upload: UploadedFile = self.cleaned_data["file"]
        if (upload.size or 0) > settings.PATTERN_FILE_BYTES:
            most = filesizeformat(settings.PATTERN_FILE_BYTES)
            raise forms.ValidationError(_("This file is larger than %(most)s."), params={"most": most})
        try:
            self.facts = facts_of(upload)
        except PdfError as error:
            pages = {"pages": settings.PATTERN_FILE_PAGES}
            raise forms.ValidationError(WHY[error.code], code=error.code, params=pages) from None
        return upload


def facts_of(upload: UploadedFile) -> PdfFacts:
    """What a PDF says of itself, read in a process of its own. Raises PdfError."""
    limits: dict[str, Any] = {
        "most_pages": settings.PATTERN_FILE_PAGES,
        "memory_bytes": settings.PDF_READER_BYTES,
        "seconds": settings.PDF_READER_SECONDS,
    }
    if isinstance(upload, TemporaryUploadedFile):
        return inspect(Path(upload.temporary_file_path()), **limits)
    with tempfile.NamedTemporaryFile(suffix=".pdf") as copy:
        upload.seek(0)
        shutil.copyfileobj(upload, copy)
        copy.flush()
        return inspect(Path(copy.name), **limits)

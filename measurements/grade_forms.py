"""The small forms beside a finding of the grade check."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _


class ReasonForm(forms.Form):
    """Why a finding is kept."""

    reason = forms.CharField(
        label=_("Why it stays as it is"),
        widget=forms.Textarea(attrs={"rows": 2}),
        max_length=settings.WORDS_CHARS,
        error_messages={"required": _("Say why, so that the next reader knows.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].widget.attrs.pop("maxlength", None)

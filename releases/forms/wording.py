from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _


class WordingReasonForm(forms.Form):
    reason = forms.CharField(
        label=_("Why the words stay as they are"),
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": _("Say why, so that the next reader need not ask.")},
    )

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _


class ReasonForm(forms.Form):
    """One reason in a line."""

    reason = forms.CharField(label=_("Why"), max_length=300, error_messages={"required": _("Say why in a few words.")})

    def __init__(self, *args: object, label: str = "", **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        if label:
            self.fields["reason"].label = label

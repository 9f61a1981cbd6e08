"""The number of the next version."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from releases.actions.versions import number_taken
from releases.models import Pattern


class NextForm(forms.Form):
    """The number under which the next version is drafted."""

    number = forms.CharField(
        label=_("Number of the next version"),
        max_length=40,
        help_text=_("0.x is tested; 1.0 goes on sale."),
        error_messages={"required": _("Give the version its number, such as 0.10.")},
    )

    def __init__(self, data: Any, *, pattern: Pattern, number: str) -> None:
        super().__init__(data, initial={"number": number}, auto_id="next-%s", use_required_attribute=False)
        self.pattern = pattern

    def clean_number(self) -> str:
        number = str(self.cleaned_data["number"])
        if self.pattern.versions.filter(number__iexact=number).exists():
            raise forms.ValidationError(number_taken(self.pattern, number))
        return number

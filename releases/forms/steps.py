from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from people.audit import digest
from releases.steps_text import ReadSteps, read_steps


class StepsForm(forms.Form):
    """All steps in one field. Where their numbers are odd, they are shown as they would be saved before they are."""

    text = forms.CharField(
        label=_("Steps"),
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 22}),
        help_text=_("Paste the instructions. Each step begins with its number, or stands alone between blank lines."),
    )
    shown = forms.CharField(required=False, widget=forms.HiddenInput)
    read: ReadSteps = ReadSteps(())

    def clean_text(self) -> str:
        text = self.cleaned_data["text"]
        if len(text) > settings.STEPS_CHARS:
            raise forms.ValidationError(
                _("These instructions are too long to be one pattern's. Paste the steps alone.")
            )
        self.read = read_steps(text)
        most = settings.STEPS_PER_VERSION
        if len(self.read.steps) > most:
            raise forms.ValidationError(_("There are more than %(most)s steps here."), params={"most": most})
        return text

    @property
    def to_be_shown(self) -> bool:
        """Whether the numbers are odd and this very text has not been shown yet."""
        return bool(self.read.odd) and self.cleaned_data.get("shown") != digest(self.cleaned_data["text"])

    def as_shown(self) -> dict[str, Any]:
        """The same text for the page that shows the steps: its next sending saves."""
        return {"text": self.cleaned_data["text"], "shown": digest(self.cleaned_data["text"])}

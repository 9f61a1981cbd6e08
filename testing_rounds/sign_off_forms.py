from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from releases.models import SignOffState

NOTE_CHARS = 600


class SignForm(forms.Form):
    """A word on one size. `shown` tells what the page showed: what changed since is shown before it is signed."""

    note = forms.CharField(
        label=_("Note, or why it is held"),
        required=False,
        max_length=NOTE_CHARS,
        widget=forms.TextInput(attrs={"autocomplete": "off", "data-sign-note": ""}),
    )
    state = forms.ChoiceField(
        choices=[(state.value, state.label) for state in (SignOffState.SIGNED, SignOffState.NOTED, SignOffState.HELD)],
        widget=forms.HiddenInput,
        error_messages={"required": _("Choose: sign, sign with a note, or hold.")},
    )
    shown = forms.CharField(widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        if said.get("state") == SignOffState.SIGNED and said.get("note"):
            said["state"] = SignOffState.NOTED
        return said

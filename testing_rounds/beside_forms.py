"""What is decided about a step of the instructions, or about a file."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from testing_rounds.decision_forms import kind_choice
from testing_rounds.models import DecisionKind


class BesideForm(forms.Form):
    """A decision on words or a file: mended, or left with the reason. `text` is what a step shall say."""

    kind = forms.ChoiceField(
        label=gettext_lazy("What is wrong"),
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose what is wrong, or that nothing is.")},
    )
    text = forms.CharField(
        label=gettext_lazy("What the step shall say"),
        required=False,
        max_length=settings.WORDS_CHARS,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=gettext_lazy("It goes to the next version as a note on what is to do."),
    )
    words = forms.CharField(
        label=gettext_lazy("Why, in your words"),
        max_length=settings.WORDS_CHARS,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": gettext_lazy("Say why, so that the next reader need not guess.")},
    )

    def __init__(self, data: Any, *, likely: str, text: str | None = None) -> None:
        """`text`: the words as they could be; None where there is no step to write."""
        initial = {"kind": likely, "text": text or ""}
        super().__init__(data, initial=initial, auto_id="decide-%s", use_required_attribute=False)
        fields: dict[str, Any] = self.fields
        kinds = [DecisionKind(likely), DecisionKind.LEAVE]
        fields["kind"].choices = [(kind.value, kind_choice(kind)) for kind in kinds]
        if text is None:
            del self.fields["text"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "text" in self.fields and cleaned.get("kind") == DecisionKind.WORDING and not cleaned.get("text"):
            self.add_error("text", _("Write what the step shall say."))
        return cleaned

    def decision(self) -> dict[str, Any]:
        """What the action takes; call it once the form is valid."""
        kind, text = self.cleaned_data["kind"], self.cleaned_data.get("text")
        changes = {"text": text} if text and kind == DecisionKind.WORDING else {}
        return {"kind": kind, "words": self.cleaned_data["words"], "changes": changes}

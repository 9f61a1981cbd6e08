"""What a designer types on a page of evidence: a decision, a reason."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.utils.functional import Promise
from django.utils.html import format_html
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from releases.models import Version
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_words import pole
from testing_rounds.models import DecisionKind, Weighing

HINTS: dict[str, str | Promise] = {
    DecisionKind.DRAFT: gettext_lazy("one change, the same in every size"),
    DecisionKind.GRADE: gettext_lazy("the steps change from some size on"),
    DecisionKind.ONE_SIZE: gettext_lazy("a slip in that size; its neighbours stay"),
    DecisionKind.ADVICE: gettext_lazy("the garment stays, the advice or the chart changes"),
    DecisionKind.WORDING: gettext_lazy("a step or a note made testers sew it so"),
    DecisionKind.PRINT: gettext_lazy("the file or its scale, not the pattern"),
    DecisionKind.LEAVE: gettext_lazy("it stays as it is, and you say why"),
}
LIKELY = {
    "whole_range": DecisionKind.DRAFT,
    "growing_up": DecisionKind.GRADE,
    "growing_down": DecisionKind.GRADE,
    "from_size": DecisionKind.GRADE,
    "one_size": DecisionKind.ONE_SIZE,
}


class DecisionForm(forms.Form):
    """What is wrong, why, and in which version it is changed."""

    direction = forms.TypedChoiceField(label=gettext_lazy("It is about"), coerce=int)
    kind = forms.ChoiceField(
        label=gettext_lazy("What is wrong"),
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose what is wrong, or that nothing is.")},
    )
    words = forms.CharField(
        label=gettext_lazy("Why, in your words"),
        max_length=settings.WORDS_CHARS,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": gettext_lazy("Say why, so that the next reader need not guess.")},
    )
    fixed_in = forms.ModelChoiceField(
        label=gettext_lazy("Changed in"),
        queryset=Version.objects.none(),
        to_field_name="ref",
        required=False,
        empty_label=gettext_lazy("no version yet"),
    )

    def __init__(self, data: Any, *, evidence: Evidence, zone: str, direction: int) -> None:
        reading, found = evidence.readings[zone], evidence.found
        initial = {"direction": direction, "kind": LIKELY.get(reading.reading, "")}
        super().__init__(data, initial=initial, auto_id="decide-%s", use_required_attribute=False)
        fields: dict[str, Any] = self.fields
        fields["direction"].choices = [(side, pole(evidence.zones[zone], side)) for side in (-1, 1)]
        if reading.level == "repeated":
            fields["direction"].widget = forms.HiddenInput()
        fields["kind"].choices = [(kind.value, _choice(kind)) for kind in DecisionKind]
        fields["fixed_in"].queryset = found.version.pattern.versions.exclude(pk=found.version_id)
        fields["fixed_in"].label_from_instance = _version_words

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("kind") == DecisionKind.LEAVE and cleaned.get("fixed_in"):
            self.add_error("fixed_in", _("What is left as is changes in no version: choose one or the other."))
        return cleaned


def _choice(kind: DecisionKind) -> str:
    return format_html('<b>{}</b><span class="small soft">{}</span>', capfirst(str(kind.label)), HINTS[kind])


def _version_words(version: Version) -> str:
    return _("Version %(number)s, %(state)s") % {"number": version.number, "state": version.get_state_display()}


class WeighForm(forms.Form):
    """Set an answer aside, or put it back, and why."""

    what = forms.ChoiceField(choices=Weighing.choices, widget=forms.HiddenInput)
    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        max_length=300,
        error_messages={"required": gettext_lazy("Give the reason: everyone who reads the counts will see it.")},
    )

    def __init__(self, data: Any = None, *, zone: str = "", at: int | str = "whole", what: str = "") -> None:
        """`zone`: the answer that it is about, "" for the whole report; `at` tells the forms of a page apart."""
        super().__init__(data, initial={"what": what}, auto_id=f"weigh-{at}-%s", use_required_attribute=False)
        self.zone = zone

"""What a designer types on a page of evidence: a decision, a reason."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.conf import settings
from django.utils.functional import Promise
from django.utils.html import format_html
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.lengths import Unit
from releases.fabric_ahead import ClothAhead, fabric_ahead, growths
from releases.models import Version
from testing_rounds.change_fields import NUMBERED, ChangeRow, change_rows, changes_of, name_of, number_fields, recorded
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_words import pole
from testing_rounds.models import DecisionKind, Weighing
from testing_rounds.zone_correction import ZoneCorrection

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
BY_NUMBERS = {"draft": DecisionKind.DRAFT, "grade": DecisionKind.GRADE, "one_size": DecisionKind.ONE_SIZE}


def _likely(shape: str, proposal: ZoneCorrection | None) -> str:
    """What is most likely wrong: by the numbers of the grade check where they are taken, else by the reading."""
    if shape in LIKELY and proposal and proposal.correction.source == "grade_check":
        return BY_NUMBERS[proposal.correction.kind]
    return LIKELY.get(shape, "")


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

    def __init__(
        self,
        data: Any,
        *,
        evidence: Evidence,
        zone: str,
        direction: int,
        proposal: ZoneCorrection | None = None,
        unit: Unit = "cm",
    ) -> None:
        reading, found = evidence.readings[zone], evidence.found
        self.proposal, self.unit, self.base = proposal, unit, found.version.base_size
        initial = {"direction": direction, "kind": _likely(reading.reading, proposal)}
        super().__init__(data, initial=initial, auto_id="decide-%s", use_required_attribute=False)
        fields: dict[str, Any] = self.fields
        fields["direction"].choices = [(side, pole(evidence.zones[zone], side)) for side in (-1, 1)]
        if reading.level == "repeated":
            fields["direction"].widget = forms.HiddenInput()
        fields["kind"].choices = [(kind.value, kind_choice(kind)) for kind in DecisionKind]
        fields["fixed_in"].queryset = found.version.pattern.versions.exclude(pk=found.version_id)
        fields["fixed_in"].label_from_instance = _version_words
        if proposal:
            self.fields.update(number_fields(proposal, unit, "decide"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        changes = {mm for mm, _text in self.typed_changes(cleaned).values()}
        whole = self.proposal is None or len(self.typed_changes(cleaned)) == len(self.proposal.charts.finished.sizes)
        if cleaned.get("kind") == DecisionKind.DRAFT and changes and (len(changes) > 1 or not whole):
            self.add_error(
                "kind",
                _(
                    "A change of the draft is the same in every size, and these numbers differ: make them one, or "
                    "choose the grade."
                ),
            )
        if cleaned.get("kind") == DecisionKind.LEAVE and cleaned.get("fixed_in"):
            self.add_error("fixed_in", _("What is left as is changes in no version: choose one or the other."))
        return cleaned

    def typed_changes(self, cleaned: dict[str, Any]) -> dict[str, tuple[Decimal, str]]:
        return changes_of(self.proposal, cleaned, self.unit) if self.proposal else {}

    def decision(self) -> dict[str, Any]:
        """What the action takes; call it once the form is valid."""
        plain = {name: self.cleaned_data[name] for name in ("direction", "kind", "words", "fixed_in")}
        numbered = self.proposal is not None and plain["kind"] in NUMBERED
        changes = recorded(self.proposal, self.typed_changes(self.cleaned_data)) if numbered and self.proposal else {}
        return {**plain, "changes": changes}

    def numbers_alone(self) -> None:
        """Before it is recorded nobody need say why: only numbers that cannot be read are complained of."""
        for name in ("words", "kind", "fixed_in"):
            self.errors.pop(name, None)

    def rows(self) -> tuple[ChangeRow, ...]:
        """The proposed or typed changes size by size, with the garment that they would make."""
        if self.proposal is None:
            return ()
        typed = self.typed_changes(self.cleaned_data) if self.is_bound and hasattr(self, "cleaned_data") else None
        changes = self.proposal.correction.changes if typed is None else {size: mm for size, (mm, _t) in typed.items()}
        fields = [self[name_of(at)] for at in range(len(self.proposal.charts.finished.sizes))]
        return change_rows(self.proposal, changes, fields, self.base)

    def fabric(self) -> tuple[ClothAhead, ...]:
        """What each cloth takes before and after these numbers; empty where nothing more is told."""
        if self.proposal is None:
            return ()
        changes = ((self.proposal.measure, row.size, row.numbers.change) for row in self.rows())
        return fabric_ahead(self.proposal.charts.version, growths(changes))


def kind_choice(kind: DecisionKind) -> str:
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

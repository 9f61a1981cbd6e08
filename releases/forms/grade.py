"""What a version declares for the grade check: how one gets in, seam pairs, gathers, and the base as it was sewn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.fields import LengthInput
from measurements.length_display import plain
from measurements.lengths import Length, Unit

# Two seams that are sewn together differ by ease, never by more than this.
MOST_EASED_MM = Decimal(300)
# A fuller gather than six to one does not go under a needle (common practice, no source).
MOST_GATHERED = Decimal(6)
# One garment has a few seams worth naming; three empty lines are always there to go on.
EMPTY_LINES = 3

OPENINGS = (
    ("", gettext_lazy("not said")),
    ("open", gettext_lazy("it opens all the way")),
    ("stepped", gettext_lazy("one steps into it")),
    ("overhead", gettext_lazy("it is pulled over the head")),
)


class GradeFactsForm(forms.Form):
    """`rows` are (key, label) of the finished measurements; `said` what was declared before, as the check reads it."""

    opening = forms.ChoiceField(label=gettext_lazy("How one gets in"), choices=OPENINGS, required=False)
    foot = forms.ChoiceField(
        label=gettext_lazy("Girth at the foot of the opening"),
        required=False,
        help_text=gettext_lazy("Where one steps in, this must pass the hip."),
    )

    def __init__(
        self, *args: Any, rows: Sequence[tuple[str, str]], said: Mapping[str, Any], unit: Unit, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.unit, self.rows = unit, rows
        choices = [("", "–"), *rows]
        opening = said.get("opening") or {}
        self.fields["foot"].choices = choices  # type: ignore[attr-defined]
        self.initial = {**self.initial, "opening": opening.get("way", ""), "foot": opening.get("foot", "")}
        self.pairs = self._lines("pair", said.get("pairs", []))
        self.gathers = self._lines("gather", said.get("gathers", []))
        for n, one in enumerate(self.pairs):
            self._choose("pair", n, one, choices)
            self.fields[f"pair_{n}_by"] = self._length(_("Longer by"), one[2], most=MOST_EASED_MM)
        for n, one in enumerate(self.gathers):
            self._choose("gather", n, one, choices)
            self.fields[f"gather_{n}_by"] = forms.DecimalField(
                label=_("Loose to sewn"), required=False, min_value=1, max_value=MOST_GATHERED, initial=one[2] or None
            )
        sewn = said.get("base_sewn", {})
        for key, label in rows:
            self.fields[f"sewn_{key}"] = self._length(label, sewn.get(key))
        for name, field in self.fields.items():
            if name.startswith(("pair_", "gather_")):
                field.widget.attrs["aria-label"] = field.label

    def _lines(self, name: str, said: Sequence[Sequence[Any]]) -> list[tuple[Any, Any, Any]]:
        """The lines declared before, and empty ones; as many as were sent where a form comes back."""
        lines = [(*one, None)[:3] for one in said]
        sent = 0
        while self.is_bound and f"{name}_{sent}_a" in self.data:
            sent += 1
        count = min(max(len(lines) + EMPTY_LINES, sent), 40)
        return [*lines, *[("", "", None)] * (count - len(lines))]

    def _choose(self, name: str, n: int, one: tuple[Any, Any, Any], choices: list[tuple[str, str]]) -> None:
        first, second = (_("Longer seam"), _("Shorter seam")) if name == "pair" else (_("Loose edge"), _("Sewn to"))
        for letter, label, value in (("a", first, one[0]), ("b", second, one[1])):
            self.fields[f"{name}_{n}_{letter}"] = forms.ChoiceField(
                label=label, choices=choices, required=False, initial=value
            )

    def _length(self, label: str, cm: Any, *, most: Decimal | None = None) -> LengthInput:
        text = "" if cm in (None, "") else plain(Decimal(str(cm)))
        initial = text if self.unit == "cm" or not text else f"{text} cm"
        return LengthInput(label=label, required=False, unit=self.unit, most=most, initial=initial)

    def shown(self, name: str) -> Iterator[dict[str, Any]]:
        """The fields of each line of pairs or gathers, for the table."""
        for n in range(len(self.pairs if name == "pair" else self.gathers)):
            yield {letter: self[f"{name}_{n}_{letter}"] for letter in ("a", "b", "by")}

    def pair_lines(self) -> Iterator[dict[str, Any]]:
        return self.shown("pair")

    def gather_lines(self) -> Iterator[dict[str, Any]]:
        return self.shown("gather")

    def sewn_fields(self) -> list[Any]:
        return [self[f"sewn_{key}"] for key, _label in self.rows]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name, count in (("pair", len(self.pairs)), ("gather", len(self.gathers))):
            for n in range(count):
                one, other = (cleaned.get(f"{name}_{n}_{letter}") for letter in "ab")
                if bool(one) != bool(other):
                    self.add_error(f"{name}_{n}_{'b' if one else 'a'}", _("Choose both measurements."))
                elif one and one == other:
                    self.add_error(f"{name}_{n}_b", _("A seam is not sewn to itself: choose the other one."))
        return cleaned

    def facts(self) -> dict[str, Any]:
        """What to keep, as measurements.grade_facts reads it; lengths in cm."""
        said = self.cleaned_data
        facts: dict[str, Any] = {}
        if said["opening"]:
            facts["opening"] = {"way": said["opening"], "foot": said["foot"]}
        if pairs := [[a, b, _cm(by) or "0"] for a, b, by in self._filled("pair", len(self.pairs))]:
            facts["pairs"] = pairs
        if gathers := [[a, b, str(by) if by else None] for a, b, by in self._filled("gather", len(self.gathers))]:
            facts["gathers"] = gathers
        sewn = {key: _cm(said[f"sewn_{key}"]) for key, _label in self.rows if said[f"sewn_{key}"]}
        return {**facts, "base_sewn": sewn} if sewn else facts

    def _filled(self, name: str, count: int) -> Iterator[tuple[Any, Any, Any]]:
        for n in range(count):
            one = tuple(self.cleaned_data[f"{name}_{n}_{letter}"] for letter in ("a", "b", "by"))
            if one[0]:
                yield one


def _cm(length: Length | None) -> str:
    return plain(length.mm / 10) if length else ""

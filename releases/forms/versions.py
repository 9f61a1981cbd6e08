from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from measurements.fields import LengthInput
from measurements.models import ChartRevision
from people.models import Person
from releases.forms.patterns import bare
from releases.models import Pattern, Version


class WhatChangedForm(forms.Form):
    """All that may change of a version that people have sewn from: the words about it."""

    what_changed = forms.CharField(
        label=_("What changed"),
        required=False,
        max_length=6000,
        widget=forms.Textarea,
        help_text=_("Testers of the version before read it: what is different, in which sizes, on which pages."),
    )

    def __init__(self, *args: Any, version: Version, **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": {"what_changed": version.what_changed}, **kwargs})


class VersionForm(forms.Form):
    """A draft version: its number, its sizes out of the chart's, its test square."""

    number = forms.CharField(
        label=_("Number"),
        max_length=40,
        help_text=_("Below 1 while it is tested, such as 0.9. It stands on every page of the version."),
    )
    sizes = forms.MultipleChoiceField(label=_("Sizes"), widget=forms.CheckboxSelectMultiple(attrs={"class": "across"}))
    base_size = forms.ChoiceField(label=_("Base size"), required=False)
    test_square = LengthInput(
        label=_("Test square"),
        required=False,
        least=Decimal(20),
        most=Decimal(500),
        help_text=_(
            "The length of its side. One of 10\u00a0cm shows a print that is 1\u00a0% off, one of 5\u00a0cm does not."
        ),
    )
    what_changed = forms.CharField(
        label=_("What changed"), required=False, max_length=6000, widget=forms.Textarea, help_text=_("Testers read it.")
    )

    def __init__(
        self,
        *args: Any,
        pattern: Pattern,
        person: Person,
        revision: ChartRevision,
        version: Version | None = None,
        **kwargs: Any,
    ) -> None:
        sizes = list(revision.sizes.all())
        self.pattern, self.version = pattern, version
        self.labels = [size.label for size in sizes]
        base = next((size.label for size in sizes if size.is_base), "")
        super().__init__(*args, **{"initial": _initial(version, self.labels, base, person.units), **kwargs})
        choices = [(label, label) for label in self.labels]
        fields: dict[str, Any] = self.fields
        fields["sizes"].choices = choices
        fields["base_size"].choices = [("", _("none")), *choices]
        fields["test_square"].unit = person.units

    def clean_number(self) -> str:
        number = self.cleaned_data["number"]
        taken = self.pattern.versions.filter(number__iexact=number)
        if self.version:
            taken = taken.exclude(pk=self.version.pk)
        if taken.exists():
            raise forms.ValidationError(
                _("%(pattern)s already has a version %(number)s."),
                params={"pattern": self.pattern.name, "number": number},
            )
        return number

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        base, sizes = cleaned.get("base_size"), cleaned.get("sizes")
        if base and sizes and base not in sizes:
            self.add_error("base_size", _("The base size must be one of the version's sizes."))
        if sizes:
            # In the chart's order, whatever order the browser sent.
            cleaned["sizes"] = [label for label in self.labels if label in sizes]
        return cleaned


class NewVersionForm(VersionForm):
    """A draft that may take over what an earlier version already has."""

    def __init__(self, *args: Any, copied: Version | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label, there in (
            (
                "copy_finished",
                _("Take over the finished measurements of %(number)s"),
                copied and copied.finished_chart_id,
            ),
            ("copy_steps", _("Take over the steps of %(number)s"), copied and copied.steps.exists()),
        ):
            if copied and there:
                words = str(label) % {"number": copied.number}
                self.fields[name] = forms.BooleanField(label=words, required=False, initial=True)
        if copied:
            self.initial["sizes"] = [label for label in self.labels if label in copied.sizes] or self.labels
            self.initial["test_square"] = bare(copied.test_square_typed, kwargs["person"].units)
            self.initial["number"] = next_number(copied.number)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        return {"copy_finished": False, "copy_steps": False, **cleaned}


def next_number(number: str) -> str:
    """A guess that a person overwrites: the last digit one higher, and nothing where that is no obvious step."""
    head, dot, tail = number.rpartition(".")
    return f"{head}{dot}{int(tail) + 1}" if len(tail) == 1 and tail in "012345678" else ""


def _initial(version: Version | None, labels: list[str], base: str, unit: str) -> dict[str, Any]:
    if version is None:
        return {"sizes": labels, "base_size": base, "number": "0.9"}
    return {
        "number": version.number,
        "sizes": version.sizes,
        "base_size": version.base_size,
        "test_square": bare(version.test_square_typed, unit),
        "what_changed": version.what_changed,
    }

"""An application to a public call: who, in which size, with the measurements that the garment needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.conf import settings
from django.forms.boundfield import BoundField
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.body_checks import body_queries
from measurements.body_measures import BODY_MEASURES, optional, required
from measurements.fields import LengthInput
from measurements.lengths import Length
from measurements.translated import in_words
from people.models import Units
from releases.models import FileKind, Version
from testing_rounds.models import Experience, Round
from testing_rounds.place_advice import fitted_places
from testing_rounds.zones import CATALOGUE

_lazy = gettext_lazy
ADULTS = _lazy("Testers are adults: tick this if you are 18 or over.")
CONSENT = _lazy("Without your yes the studio may not keep the measurements, and cannot find you a size.")


def measures_asked(found: Round) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The body measurements that must be given and those that help; none that no zone of the round uses."""
    if found.version.pattern.for_children:
        return (), ()
    kind, fitted = found.version.pattern.kind, fitted_places(found.version)
    used = {point for entry in found.zones for point in _points(entry)} | set(fitted)
    return required(kind, fitted), tuple(key for key in optional(kind, fitted) if key in used)


def _points(entry: dict[str, Any]) -> tuple[str, ...]:
    known = CATALOGUE.get(entry["key"])
    return known.body if known else (entry.get("body_point") or "",)


def papers(version: Version) -> dict[str, str]:
    """{kind: name} of what a tester can print from: the version's files, or every kind while there are none."""
    there = set(version.current_files().values_list("kind", flat=True)) - {FileKind.BOOKLET}
    return {
        kind.value: str(kind.label) for kind in FileKind if kind in there or (not there and kind != FileKind.BOOKLET)
    }


@dataclass(frozen=True)
class MeasureField:
    """A measurement as the page asks it: its field, how to take it, and a question where the number is odd."""

    field: BoundField
    definition: str
    how: str
    required: bool
    ask: str


class ApplicationForm(forms.Form):
    """Lengths are read in the unit that the form itself names. An odd one is asked about once, never refused."""

    name = forms.CharField(
        label=_lazy("Your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": _lazy("What may the studio call you?")},
    )
    email = forms.EmailField(
        label=_lazy("Your e-mail"),
        help_text=_lazy("The answer comes to this address, and nothing else."),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
        error_messages={
            "required": _lazy("Where can the studio write to you?"),
            "invalid": _lazy("This is not a whole e-mail address. It needs a name, an @ and a place."),
        },
    )
    units = forms.ChoiceField(label=_lazy("I measure in"), choices=Units.choices, widget=forms.RadioSelect)
    wanted_size = forms.ChoiceField(
        label=_lazy("Which size would you pick?"),
        help_text=_lazy("From the table, as you would buy it. The advice comes after; both are kept."),
        required=False,
    )
    paper = forms.ChoiceField(
        label=_lazy("What do you print on?"),
        error_messages={"required": _lazy("Choose what you would print.")},
    )
    experience = forms.ChoiceField(
        label=_lazy("How much have you sewn?"),
        choices=Experience.choices,
        widget=forms.RadioSelect,
        error_messages={"required": _lazy("Choose one. New hands are as welcome as old ones.")},
    )
    rounds_before = forms.IntegerField(
        label=_lazy("Test rounds that you have finished, for anybody"),
        min_value=0,
        max_value=settings.ROUNDS_BEFORE,
        initial=0,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "short"}),
        error_messages={
            "required": _lazy("Write 0 if this would be the first."),
            "invalid": _lazy("Write a whole number, such as 0 or 2."),
            "min_value": _lazy("Write 0 if this would be the first."),
            "max_value": _lazy("That is more rounds than anybody has finished. Is it a slip?"),
        },
    )
    note = forms.CharField(
        label=_lazy("Anything that the studio should know"),
        required=False,
        max_length=settings.WORDS_CHARS,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    adult = forms.BooleanField(label=_lazy("I am 18 or over"), error_messages={"required": ADULTS})
    consent = forms.BooleanField(error_messages={"required": CONSENT})
    looked = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, found: Round, **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": {"units": Units.CM}, **kwargs})
        self.must, self.may = measures_asked(found)
        sizes = [(size, size) for size in found.version.sizes]
        fields: dict[str, Any] = self.fields
        fields["wanted_size"].choices = [("", _("I do not know")), *sizes]
        fields["paper"].choices = [("", _("choose")), *papers(found.version).items()]
        if found.version.pattern.for_children:
            self._for_a_child(fields, sizes)
        for key in (*self.must, *self.may):
            fields[f"body_{key}"] = LengthInput(
                label=_(BODY_MEASURES[key].name),
                required=key in self.must,
                unit=self.unit,
                error_messages={"required": _("This one is needed to find your size.")},
            )

    @staticmethod
    def _for_a_child(fields: dict[str, Any], sizes: list[tuple[str, str]]) -> None:
        """Of a child the size and the age are asked, and nothing else."""
        fields["units"].required = False
        fields["wanted_size"].required = True
        fields["wanted_size"].choices = [("", _("choose")), *sizes]
        fields["wanted_size"].help_text = _("From the table, as you would buy it.")
        fields["child_age"] = forms.IntegerField(
            label=_("How old is the child, in years?"),
            min_value=0,
            max_value=17,
            widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "short"}),
            error_messages={
                "required": _("Write the age in whole years; 0 below the first birthday."),
                "invalid": _("Write the age in whole years; 0 below the first birthday."),
            },
        )

    def clean_units(self) -> str:
        return self.cleaned_data["units"] or Units.CM

    @property
    def unit(self) -> Any:
        said = self.data.get("units") if self.is_bound else Units.CM
        return said if said in Units.values else Units.CM

    def measures(self) -> dict[str, Length]:
        """{key: length} of what was given; call it once the form was checked."""
        given = ((key, self.cleaned_data.get(f"body_{key}")) for key in (*self.must, *self.may))
        return {key: length for key, length in given if length is not None}

    def asks(self) -> dict[str, str]:
        """{key: question} on measurements that look like a slip."""
        if not self.is_bound or not hasattr(self, "cleaned_data"):
            return {}
        asked: dict[str, str] = {}
        for query in body_queries(self.measures()):
            for key in query.keys:
                asked.setdefault(key, in_words(query.sentence, first=self.unit))
        return asked

    @property
    def odd(self) -> str:
        """The measurements in question as they were typed; sent along again they mean that somebody looked."""
        given = self.measures()
        return self.unit + "".join(f" {key}={given[key].typed}" for key in sorted(self.asks()))

    @property
    def must_look_again(self) -> bool:
        return bool(self.asks()) and self.cleaned_data.get("looked") != self.odd

    @property
    def shows_more(self) -> bool:
        """Whether something stands in the measurements that are folded away."""
        return any(self[f"body_{key}"].value() for key in self.may)

    def required_measures(self) -> Iterator[MeasureField]:
        return (self._measure(key, required=True) for key in self.must)

    def optional_measures(self) -> Iterator[MeasureField]:
        return (self._measure(key, required=False) for key in self.may)

    def _measure(self, key: str, *, required: bool) -> MeasureField:
        known = BODY_MEASURES[key]
        ask = self.asks().get(key, "")
        return MeasureField(self[f"body_{key}"], _(known.definition), _(known.how), required, ask)

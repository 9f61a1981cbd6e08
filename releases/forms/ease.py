"""Forms of a version's ease: what is meant a measurement, and the lengths that are cut from one piece."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.ease import EaseRow, stretch_percent
from measurements.fields import LengthInput
from measurements.finished_measures import FINISHED_MEASURES
from measurements.lengths import Length, Unit
from releases.forms.patterns import bare
from releases.models import FinishedLength, Version

# No garment is meant to be further from the body than this, or to stray further.
MOST_EASE_MM, MOST_TOLERANCE_MM = Decimal(1500), Decimal(100)
# The stretch test folds 10 cm; no fabric gives more than three times its length.
FOLD_MM, MOST_STRETCH_MM = Decimal(100), Decimal(300)
ADD, TAKE = "add", "take"


class EaseForm(forms.Form):
    """The ease that is meant at each measurement, with its tolerance; for a knit the stretch test too."""

    def __init__(
        self, *args: Any, rows: Iterable[EaseRow], version: Version, unit: Unit, knit: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        stored = {row.key: row for row in version.declared_ease.all()}
        self.keys = [row.finished_key for row in rows]
        for key in self.keys:
            name, said = _(FINISHED_MEASURES[key].name), stored.get(key)
            self.fields[f"ease_{key}"] = LengthInput(
                label=_("%(place)s, meant") % {"place": name},
                required=False,
                signed=True,
                unit=unit,
                least=-MOST_EASE_MM,
                most=MOST_EASE_MM,
                initial=bare(said.typed, unit) if said else None,
            )
            self.fields[f"tolerance_{key}"] = LengthInput(
                label=_("%(place)s, give or take") % {"place": name},
                required=False,
                unit=unit,
                most=MOST_TOLERANCE_MM,
                initial=bare(said.tolerance_typed, unit) if said else None,
            )
        # In the table a field stands without its label.
        for field in self.fields.values():
            field.widget.attrs["aria-label"] = field.label
        if knit:
            self.fields["stretch"] = LengthInput(
                label=_("10 cm (4 in) of the fabric, folded across, must pull out to"),
                required=False,
                unit="cm",
                least=FOLD_MM,
                most=MOST_STRETCH_MM,
                help_text=_("15 cm is a stretch of 50 %. The pattern needs a fabric that gives at least this much."),
                initial=_pulled(version.pattern.carried.get("stretch")),
            )

    def rows(self) -> list[dict[str, Any]]:
        """The fields a measurement, for the table."""
        return [{"key": key, "ease": self[f"ease_{key}"], "tolerance": self[f"tolerance_{key}"]} for key in self.keys]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for key in self.keys:
            if cleaned.get(f"tolerance_{key}") and not cleaned.get(f"ease_{key}") and f"ease_{key}" in cleaned:
                self.add_error(f"ease_{key}", _("Say the ease that is meant, too."))
        return cleaned

    def declared(self) -> dict[str, tuple[Length, Length | None]]:
        """{measurement: its ease and, where it was typed, its tolerance}."""
        pairs = {key: (self.cleaned_data[f"ease_{key}"], self.cleaned_data[f"tolerance_{key}"]) for key in self.keys}
        return {key: pair for key, pair in pairs.items() if pair[0] is not None}

    def required_stretch(self) -> float | None:
        """Per cent; None where it was left empty."""
        pulled: Length | None = self.cleaned_data.get("stretch")
        return None if pulled is None else float(stretch_percent(pulled.mm))


def _pulled(percent: Any) -> str | None:
    """What 10 cm become at this stretch, in cm."""
    return None if percent is None else f"{(Decimal(str(percent)) / 10 + 10).normalize():f}"


class FinishedLengthForm(forms.Form):
    """One of several lengths of a version."""

    name = forms.CharField(
        label=gettext_lazy("Name of the length"),
        max_length=40,
        help_text=gettext_lazy("Such as cropped, or full. One name is one length, wherever it is printed."),
    )
    way = forms.ChoiceField(
        label=gettext_lazy("Against the printed line"),
        choices=[(ADD, gettext_lazy("add")), (TAKE, gettext_lazy("take away"))],
        widget=forms.RadioSelect(attrs={"class": "across"}),
    )
    change = LengthInput(label=gettext_lazy("How much, along the grain"), least=Decimal(1), most=Decimal(1500))
    along = forms.ChoiceField(label=gettext_lazy("The finished measurement that it changes"), choices=[])
    laps = forms.IntegerField(
        label=gettext_lazy("How often it lies along the fabric"),
        min_value=1,
        max_value=12,
        help_text=gettext_lazy("Once if all its pieces lie side by side, twice if front and back follow each other."),
    )
    height = LengthInput(
        label=gettext_lazy("Drafted for a height of"),
        required=False,
        least=Decimal(1000),
        most=Decimal(2300),
        help_text=gettext_lazy("Empty: that of the pattern."),
    )
    lining = LengthInput(
        label=gettext_lazy("The lining is shorter by"), required=False, most=Decimal(500),
        help_text=gettext_lazy("Empty: it has no lining."),
    )  # fmt: skip

    def __init__(
        self,
        *args: Any,
        version: Version,
        along: Mapping[str, str],
        unit: Unit,
        of: FinishedLength | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **{"initial": _initial(of, unit), **kwargs})
        self.version, self.of = version, of
        fields: dict[str, Any] = self.fields
        fields["along"].choices = list(along.items())
        for name in ("change", "height", "lining"):
            fields[name].unit = unit

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        taken = self.version.lengths.filter(name__iexact=name)
        if self.of:
            taken = taken.exclude(pk=self.of.pk)
        if taken.exists():
            raise forms.ValidationError(
                _("“%(name)s” is a length already. One name is one length."), params={"name": name}
            )
        return name

    def change_mm(self) -> Decimal:
        """Signed: what is taken away is below 0."""
        change: Length = self.cleaned_data["change"]
        return change.mm if self.cleaned_data["way"] == ADD else -change.mm


def _initial(of: FinishedLength | None, unit: Unit) -> dict[str, Any]:
    if of is None:
        return {"way": ADD, "laps": 1}
    return {
        "name": of.name,
        "way": ADD if of.change_mm > 0 else TAKE,
        "change": bare(of.change_typed, unit),
        "along": of.along,
        "laps": of.laps,
        "height": bare(of.height_typed, unit),
        "lining": bare(of.lining_typed, unit),
    }

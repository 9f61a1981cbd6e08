from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from measurements.fields import LengthInput
from measurements.models import ChartAbout, SizeChart
from people.models import Person, Studio
from releases.models import Fabric, GarmentKind, Pattern

# Where a garment can be meant to hang free; the size advice then leaves the place out.
PLACES = {
    "bust": _("bust"),
    "waist": _("waist"),
    "high_hip": _("high hip"),
    "hip": _("hip"),
    "upper_arm": _("upper arm"),
    "thigh": _("thigh"),
}


class PatternForm(forms.Form):
    """What a pattern is, and the body that it is drafted for."""

    name = forms.CharField(label=_("Name"), max_length=120)
    kind = forms.ChoiceField(
        label=_("Kind of garment"),
        choices=GarmentKind.choices,
        help_text=_("It decides which measurements and which zones testers are asked about."),
    )
    fabric = forms.ChoiceField(label=_("Fabric"), choices=Fabric.choices)
    chart = forms.ModelChoiceField(
        label=_("Size chart that it is drafted to"),
        queryset=SizeChart.objects.none(),
        required=False,
        empty_label=_("not chosen yet"),
    )
    height = LengthInput(
        label=_("Drafted for a height of"),
        required=False,
        least=Decimal(1000),
        most=Decimal(2300),
        help_text=_("Length complaints are read against it. Leave it empty if you do not know."),
    )
    cup = LengthInput(
        label=_("Drafted cup difference"),
        required=False,
        least=Decimal(0),
        most=Decimal(300),
        help_text=_("Full bust minus high bust of the draft. The size advice goes by high bust where testers differ."),
    )
    free_at = forms.MultipleChoiceField(
        label=_("Where it hangs loose on purpose"),
        choices=PLACES.items(),
        required=False,
        widget=forms.CheckboxSelectMultiple(attrs={"class": "across"}),
        help_text=_("Gathers, an A-line: the size advice does not mind these places."),
    )
    for_children = forms.BooleanField(
        label=_("For children"),
        required=False,
        help_text=_("Its cautions are shown with it. Testers are asked for size and age only, and for no photos."),
    )
    about = forms.CharField(label=_("About it"), required=False, max_length=4000, widget=forms.Textarea)

    def __init__(
        self, *args: Any, studio: Studio, person: Person, pattern: Pattern | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **{"initial": _initial(pattern, person.units), **kwargs})
        charts = studio.charts.filter(about=ChartAbout.BODY)
        chart: Any = self.fields["chart"]
        chart.queryset = charts
        if pattern is None and charts.count() == 1:
            chart.initial = charts.first()
        for name in ("height", "cup"):
            field: Any = self.fields[name]
            field.unit = person.units


def _initial(pattern: Pattern | None, unit: str) -> dict[str, Any]:
    if pattern is None:
        return {}
    plain = ("name", "kind", "fabric", "chart", "free_at", "for_children", "about")
    return {
        **{name: getattr(pattern, name) for name in plain},
        "height": bare(pattern.height_typed, unit),
        "cup": bare(pattern.cup_typed, unit),
    }


def bare(typed: str, unit: str) -> str:
    """A stored text as it stands in a field that writes the unit behind itself: `10 cm` is `10` there."""
    return typed.removesuffix(f" {unit}")

"""Forms of size advice: a studio's rules, and a body to try."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.body_measures import BODY_MEASURES
from measurements.ease import LEAST_EASE, LEAST_EASE_MM
from measurements.fields import LengthInput
from measurements.length_display import BODY_STYLE
from measurements.lengths import Length, Unit
from measurements.models import AdviceRules
from measurements.size_advice_types import USUAL_RULES
from measurements.translated import both_units

FITS = [
    ("closer", gettext_lazy("closer: of two sizes the smaller, where it still keeps the least ease")),
    ("usual", gettext_lazy("as it is meant: the smaller, where it keeps the least ease and some more")),
    ("roomier", gettext_lazy("roomier: of two sizes the larger")),
]
# Widths beyond which a rule is a slip: no garment needs more least ease, no cup rule is wider.
MOST_LEAST_MM, MOST_RULE_MM = Decimal(300), Decimal(400)


class AdviceRulesForm(forms.Form):
    """A studio's rules. An empty field keeps the usual rule, which stands beneath it."""

    preference = forms.ChoiceField(label=gettext_lazy("Our garments fit"), choices=FITS, widget=forms.RadioSelect)
    least_bust = LengthInput(required=False, signed=True, most=MOST_LEAST_MM)
    least_waist = LengthInput(required=False, signed=True, most=MOST_LEAST_MM)
    least_hip = LengthInput(required=False, signed=True, most=MOST_LEAST_MM)
    comfort = LengthInput(
        label=gettext_lazy("Above the least ease, the smaller of two sizes keeps"), required=False, most=MOST_RULE_MM
    )
    roomy = LengthInput(
        label=gettext_lazy("Ease from which the smaller size is enough"), required=False, most=MOST_RULE_MM
    )
    cup = LengthInput(
        label=gettext_lazy("The cup may differ from the drafted one by"), required=False, most=MOST_RULE_MM
    )
    blend_sizes = forms.IntegerField(
        label=gettext_lazy("Sizes that a blend may span without a toile"),
        required=False,
        min_value=1,
        max_value=10,
        widget=forms.NumberInput(attrs={"class": "short"}),
    )

    def __init__(self, *args: Any, stored: AdviceRules | None, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": _initial(stored, unit), **kwargs})
        fields: dict[str, Any] = self.fields
        for place, usual in LEAST_EASE_MM.items():
            field = fields[f"least_{place}"]
            field.label = _("Least ease at the %(place)s") % {"place": _(BODY_MEASURES[place].name).lower()}
            field.help_text = _("Usual: %(usual)s, %(source)s.") % {
                "usual": both_units(BODY_STYLE, usual, unit),
                "source": _(LEAST_EASE[place].source),
            }
        for name, usual, meaning in (
            ("comfort", USUAL_RULES.comfort_mm, _("Less, and the advice is the larger one.")),
            ("roomy", USUAL_RULES.roomy_mm, _("So loose a garment forgives.")),
            ("cup", USUAL_RULES.cup_limit_mm, _("Beyond it the size goes by the high bust, and the bust is changed.")),
        ):
            shown = both_units(BODY_STYLE, usual, unit)
            fields[
                name
            ].help_text = f"{meaning} {_('Usual: %(usual)s, common practice, no source.') % {'usual': shown}}"
        fields["blend_sizes"].help_text = _("Usual: %(usual)s, common practice, no source.") % {
            "usual": USUAL_RULES.blend_sizes
        }
        for field in fields.values():
            if isinstance(field, LengthInput):
                field.unit = unit


def _initial(stored: AdviceRules | None, unit: Unit) -> dict[str, Any]:
    if stored is None:
        return {"preference": "usual"}
    typed = {
        **{f"least_{place}": said["typed"] for place, said in stored.least.items()},
        "comfort": stored.comfort_typed,
        "roomy": stored.roomy_typed,
        "cup": stored.cup_typed,
    }
    # The field writes its unit behind itself.
    bare = {name: text.removesuffix(f" {unit}") for name, text in typed.items()}
    return {"preference": stored.preference, "blend_sizes": stored.blend_sizes, **bare}


class BodyForm(forms.Form):
    """Measures to try a size on; nothing of it is kept."""

    wish = forms.ChoiceField(
        label=gettext_lazy("Worn"),
        choices=[
            ("", gettext_lazy("as the studio means it")),
            ("closer", gettext_lazy("closer")),
            ("roomier", gettext_lazy("roomier")),
        ],
        required=False,
    )

    def __init__(self, *args: Any, places: Iterable[str], unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        wish = self.fields.pop("wish")
        for place in places:
            measure = BODY_MEASURES[place]
            self.fields[place] = LengthInput(
                label=_(measure.name),
                required=False,
                unit=unit,
                least=measure.low_mm / 2,
                most=measure.high_mm * 2,
            )
        self.fields["wish"] = wish

    def body(self) -> dict[str, Decimal]:
        """mm by measurement, of those that were typed."""
        lengths = {key: value for key, value in self.cleaned_data.items() if isinstance(value, Length)}
        return {key: length.mm for key, length in lengths.items()}

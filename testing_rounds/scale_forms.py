"""The zone scales as a form: one length a zone."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from measurements.fields import LengthInput
from measurements.length_display import ALLOWANCE_STYLE
from measurements.lengths import Unit
from measurements.translated import both_units
from testing_rounds.models import ZoneScales
from testing_rounds.zones import CATALOGUE

# Nobody feels a tenth of a centimetre, and everybody feels five (common practice, no source).
LEAST_MM, MOST_MM = Decimal(1), Decimal(50)


class ScalesForm(forms.Form):
    """An empty field keeps the usual scale, which stands beneath it."""

    def __init__(self, data: Any, *, stored: ZoneScales | None, unit: Unit) -> None:
        own = stored.scales if stored else {}
        # The field writes its unit behind itself.
        typed = {zone: said["typed"].removesuffix(f" {unit}") for zone, said in own.items()}
        super().__init__(data, initial=typed, use_required_attribute=False)
        for key, zone in CATALOGUE.items():
            usual = both_units(ALLOWANCE_STYLE, Decimal(str(zone.scale_cm)) * 10, unit)
            self.fields[key] = LengthInput(
                label=capfirst(_(zone.label)),
                required=False,
                unit=unit,
                least=LEAST_MM,
                most=MOST_MM,
                help_text=_("Usual: %(usual)s") % {"usual": usual},
            )

"""A form field for a length: typed text in, exact millimetres and the typed text out."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from measurements.length_display import BODY_STYLE
from measurements.lengths import Length, LengthError, Unit, read_length
from measurements.translated import both_units, in_words

# A decimal keypad has no slash and no space, so fractions of an inch need the full one.
KEYPADS: dict[str, str] = {"cm": "decimal", "mm": "decimal", "in": "text"}


class LengthWidget(forms.TextInput):
    """One line of text with the unit written behind it."""

    template_name = "measurements/length_widget.html"
    unit: Unit = "cm"

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        context["widget"]["attrs"].setdefault("inputmode", KEYPADS[self.unit])
        context["widget"]["unit"] = self.unit
        return context


class LengthInput(forms.CharField):
    """A length in the person's unit; `clean` returns a measurements.lengths.Length, or None when left empty.

    `unit` (cm, in or mm) holds where the text names none; a form may set it on its own copy of the field:
    `form.fields["waist"].unit = person.units`. `least` and `most` are millimetres. `signed` allows a change
    such as -1.5. `initial` is a text, a Length, or exact millimetres as a Decimal.
    """

    widget = LengthWidget
    default_error_messages = {
        "required": _("Type a length here."),
        "least": _("Shorter than %(limit)s cannot be right here."),
        "most": _("Longer than %(limit)s cannot be right here."),
    }

    def __init__(
        self,
        *,
        unit: Unit = "cm",
        signed: bool = False,
        least: Decimal | None = None,
        most: Decimal | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(**{"max_length": 40, **kwargs})
        self.signed, self.least, self.most = signed, least, most
        self.unit = unit

    @property
    def unit(self) -> Unit:
        return self._unit

    @unit.setter
    def unit(self, unit: Unit) -> None:
        self._unit = unit
        widget: Any = self.widget
        widget.unit = unit

    def prepare_value(self, value: Any) -> Any:
        """What stands in the field: always the text that was typed, where there is one."""
        if isinstance(value, Length):
            return value.typed
        if isinstance(value, Decimal):
            return BODY_STYLE.number(value, self.unit)
        return value

    def clean(self, value: Any) -> Length | None:
        """Raises ValidationError with the sentence that says what is wrong with the text."""
        typed = super().clean(value)
        if not typed:
            return None
        try:
            length = read_length(typed, self.unit, signed=self.signed)
        except LengthError as wrong:
            raise ValidationError(in_words(wrong.sentence), code=wrong.code) from None
        self._check_limits(length)
        return length

    def _check_limits(self, length: Length) -> None:
        for code, limit, beyond in (
            ("least", self.least, self.least is not None and length.mm < self.least),
            ("most", self.most, self.most is not None and length.mm > self.most),
        ):
            if beyond and limit is not None:
                shown = {"limit": both_units(BODY_STYLE, limit, self.unit)}
                raise ValidationError(self.error_messages[code], code=code, params=shown)

    def has_changed(self, initial: Any, data: Any) -> bool:
        return super().has_changed(self.prepare_value(initial), data)

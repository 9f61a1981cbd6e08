"""Forms of studios and of one's own page."""

from __future__ import annotations

from django import forms
from django.conf import settings
from django.http import HttpRequest
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from people.models import Person, Role, Studio


class NameForm(forms.Form):
    """What sign-up asks beside the e-mail and the password."""

    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        error_messages={"required": _("Type the name that your studio knows you by.")},
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )

    def signup(self, request: HttpRequest, user: Person) -> None:
        user.name = self.cleaned_data["name"]
        user.save(update_fields=["name"])


class StudioForm(forms.ModelForm):
    class Meta:
        model = Studio
        fields = ["name"]
        labels = {"name": _("Name of the studio")}
        help_texts = {"name": _("As testers will read it in your call. You can work alone in it, or invite others.")}
        error_messages = {"name": {"required": _("Give the studio a name.")}}
        widgets = {"name": forms.TextInput(attrs={"autocomplete": "organization"})}


class InviteForm(forms.Form):
    email = forms.EmailField(
        label=_("Their e-mail"),
        error_messages={
            "required": _("Type the address that the invitation goes to."),
            "invalid": _("This is not a whole e-mail address. It needs a name, an @ and a place."),
        },
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )
    role = forms.ChoiceField(
        label=_("They come as"),
        choices=[
            (Role.DESIGNER, _("designer: works on patterns, charts and rounds like you")),
            (Role.REVIEWER, _("reviewer: reads everything, changes nothing")),
        ],
        initial=Role.REVIEWER,
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose what they come as.")},
    )


def language_choices() -> list[tuple[str, str | Promise]]:
    return [("", _("what your browser asks for")), *settings.LANGUAGES]


class MeForm(forms.ModelForm):
    language = forms.ChoiceField(
        label=_("Your language"), choices=language_choices, required=False, widget=forms.RadioSelect
    )

    class Meta:
        model = Person
        fields = ["name", "units", "language"]
        labels = {"name": _("Your name"), "units": _("You type lengths in")}
        help_texts = {
            "units": _("A length may always name its own unit, as in 34 1/2 in or 865 mm. Pages show both."),
        }
        error_messages = {"name": {"required": _("Type the name that your studio knows you by.")}}
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "name"}),
            "units": forms.RadioSelect,
        }

from __future__ import annotations

from django import forms
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from people.models import Person


class NameForm(forms.Form):
    """What sign-up asks beside the e-mail and the password."""

    name = forms.CharField(label=_("Your name"), max_length=120)

    def signup(self, request: HttpRequest, user: Person) -> None:
        user.name = self.cleaned_data["name"]
        user.save(update_fields=["name"])

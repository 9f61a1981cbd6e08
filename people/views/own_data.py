"""What is kept about the person who is signed in: seen, handed out as a file, erased."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_required
from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from people import personal_data
from people.access import signed_in
from people.actions import Refused
from people.models import Person
from people.own_data import erase_person, own_studios


class EraseForm(forms.Form):
    """Erasing asks for the password: a screen that was left open is not enough."""

    password = forms.CharField(
        label=gettext_lazy("Your password"),
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": gettext_lazy("Type your password: this cannot be undone.")},
    )

    def __init__(self, person: Person, *args: Any) -> None:
        super().__init__(*args)
        self.person = person

    def clean_password(self) -> str:
        typed = str(self.cleaned_data["password"])
        if not self.person.check_password(typed):
            raise forms.ValidationError(_("That is not your password."))
        return typed


@require_safe
@login_required
def own_data(request: HttpRequest) -> HttpResponse:
    """All that is kept about this person."""
    return render(request, "people/own_data.html", {"kept": personal_data.find(signed_in(request))})


@require_safe
@login_required
def own_data_file(request: HttpRequest) -> HttpResponseBase:
    """The same as a file."""
    name = f"my-data-{timezone.localdate():%Y-%m-%d}.zip"
    content = personal_data.export(signed_in(request))
    answer = FileResponse(content, as_attachment=True, filename=name, content_type="application/zip")
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def erase(request: HttpRequest) -> HttpResponse:
    """Asked with the password, then the account is gone; with it the studios that nobody else belongs to."""
    person = signed_in(request)
    form = EraseForm(person, request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            erase_person(person=person)
        except Refused as refused:
            form.add_error(None, refused.sentence)
        else:
            logout(request)
            return render(request, "people/erased.html")
    context = {"form": form, "going": own_studios(person)}
    return render(request, "people/erase.html", context, status=422 if form.errors else 200)

"""A round as a file: out of the app, and into it."""

from __future__ import annotations

from django import forms
from django.conf import settings
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.defaultfilters import filesizeformat
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from people.access import EDITORS, signed_in, studio_for
from testing_rounds.access import round_for
from testing_rounds.actions.round_files import AlreadyThereError, import_round
from testing_rounds.bodies import bodies_are_shown, without_bodies
from testing_rounds.round_data import RoundData
from testing_rounds.round_file import RoundFileError, dumps, parse
from testing_rounds.round_names import round_name
from testing_rounds.round_store import load_round


class RoundFileForm(forms.Form):
    """One round file; what is wrong with it is said beside the field, by its place."""

    file = forms.FileField(
        label=gettext_lazy("Round file"),
        help_text=gettext_lazy("A file that this app, or somebody else's, wrote in the round file's form (JSON)."),
    )

    def clean_file(self) -> RoundData:
        upload: UploadedFile = self.cleaned_data["file"]
        if (upload.size or 0) > settings.ROUND_FILE_BYTES:
            size = filesizeformat(settings.ROUND_FILE_BYTES)
            raise forms.ValidationError(_("This file is larger than %(size)s.") % {"size": size})
        try:
            return parse(upload.read())
        except RoundFileError as error:
            raise forms.ValidationError(_("Nothing was read: %(why)s") % {"why": error}) from None


@require_safe
def round_file(request: HttpRequest, ref: str) -> HttpResponse:
    """The round as a round file: aliases for names, no photos, no consents; bodies while the round needs them."""
    found = round_for(request, ref, EDITORS)
    data = load_round(found)
    data = data if bodies_are_shown(found) else without_bodies(data)
    response = HttpResponse(dumps(data), content_type="application/json")
    response["Content-Disposition"] = f'attachment; filename="{round_name(found)}.json"'
    return response


@require_http_methods(["GET", "HEAD", "POST"])
def round_file_import(request: HttpRequest, ref: str) -> HttpResponse:
    """A round file becomes a round of the studio."""
    studio = studio_for(request, ref, EDITORS)
    form = RoundFileForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            made = import_round(studio=studio, data=form.cleaned_data["file"], by=signed_in(request))
        except AlreadyThereError as error:
            form.add_error("file", str(error))
        else:
            messages.success(request, _("The round is here, with all its reports."))
            return redirect("round", made.ref)
    return render(request, "testing_rounds/round_file.html", {"form": form}, status=422 if form.errors else 200)

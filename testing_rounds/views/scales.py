"""The zone scales of a studio."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from measurements.forms import unit_of
from people.access import EDITORS, EVERY_ROLE, signed_in, studio_for
from testing_rounds.actions.scales import write_scales
from testing_rounds.models import ZoneScales
from testing_rounds.scale_forms import ScalesForm


@require_http_methods(["GET", "HEAD", "POST"])
def zone_scales(request: HttpRequest, ref: str) -> HttpResponse:
    """The scales, to change or, for a reviewer, to read."""
    studio = studio_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    stored = ZoneScales.objects.filter(studio=studio).first()
    form = ScalesForm(request.POST or None, stored=stored, unit=unit_of(signed_in(request).units))
    if request.method == "POST" and form.is_valid():
        redone = write_scales(studio=studio, lengths=form.cleaned_data, by=signed_in(request))
        said = ngettext(
            "The scales are saved. %(n)s round is read anew.",
            "The scales are saved. %(n)s rounds are read anew.",
            redone,
        )
        messages.success(request, said % {"n": redone})
        return redirect("zone_scales", studio.ref)
    context = {"studio": studio, "form": form, "own": bool(stored and stored.scales)}
    return render(request, "testing_rounds/zone_scales.html", context, status=422 if form.errors else 200)

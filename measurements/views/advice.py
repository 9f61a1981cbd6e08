"""A studio's rules for size advice."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from measurements.actions import write_advice_rules
from measurements.advice_forms import AdviceRulesForm
from measurements.forms import unit_of
from measurements.models import AdviceRules
from people.access import EDITORS, EVERY_ROLE, signed_in, studio_for


@require_http_methods(["GET", "HEAD", "POST"])
def rules(request: HttpRequest, ref: str) -> HttpResponse:
    """The rules, to change or, for a reviewer, to read."""
    studio = studio_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    stored = AdviceRules.objects.filter(studio=studio).first()
    unit = unit_of(signed_in(request).units)
    form = AdviceRulesForm(request.POST or None, stored=stored, unit=unit)
    if request.method == "POST" and form.is_valid():
        write_advice_rules(studio=studio, fields=form.cleaned_data, by=signed_in(request))
        messages.success(request, _("The rules are saved. Advice from now on goes by them; what was advised stays."))
        return redirect("advice_rules", studio.ref)
    context = {"studio": studio, "form": form, "stored": stored}
    return render(request, "measurements/advice_rules.html", context, status=422 if form.errors else 200)

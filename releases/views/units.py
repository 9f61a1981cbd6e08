"""Both printed units of a version, held against each other."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from releases.access import version_for
from releases.both_units import both_units


@require_safe
def version_units(request: HttpRequest, ref: str) -> HttpResponse:
    found = version_for(request, ref)
    context = {"version": found, "pattern": found.pattern, "units": both_units(found)}
    return render(request, "releases/version_units.html", context)

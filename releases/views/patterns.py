"""The studio's patterns, and one pattern."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from people.access import EDITORS, signed_in, studio_for
from releases.access import pattern_for
from releases.actions import change_pattern, create_pattern
from releases.booklet import cautions_of
from releases.forms.patterns import PLACES, PatternForm
from releases.models import VersionState
from releases.situation import STATES, firsts, pattern_lines, studio_headline

FORM_METHODS = ["GET", "HEAD", "POST"]


@require_safe
def studio(request: HttpRequest, ref: str) -> HttpResponse:
    """The studio's patterns and what is next for each; before the first round, the four things to do."""
    found = studio_for(request, ref)
    lines = pattern_lines(found)
    steps = firsts(found, lines)
    context = {
        "lines": lines,
        "firsts": [] if steps[-1].done else steps,
        "headline": studio_headline(lines, steps),
    }
    return render(request, "releases/studio.html", context)


@require_http_methods(FORM_METHODS)
def pattern_new(request: HttpRequest, ref: str) -> HttpResponse:
    found = studio_for(request, ref, EDITORS)
    form = PatternForm(request.POST or None, studio=found, person=signed_in(request))
    if request.method == "POST" and form.is_valid():
        made = create_pattern(studio=found, fields=form.cleaned_data, by=signed_in(request))
        messages.success(request, _("%(pattern)s is on the table.") % {"pattern": made.name})
        return redirect("version_new" if made.chart else "pattern", made.ref)
    return render(request, "releases/pattern_form.html", {"form": form}, status=422 if form.errors else 200)


@require_safe
def pattern(request: HttpRequest, ref: str) -> HttpResponse:
    found = pattern_for(request, ref)
    versions = list(found.versions.select_related("body_chart__chart"))
    newest = versions[0] if versions else None
    context = {
        "pattern": found,
        "versions": versions,
        "version": newest,
        "state": STATES[VersionState(newest.state)] if newest else "",
        "cautions": cautions_of(found),
        "free_at": [PLACES[place] for place in found.free_at if place in PLACES],
    }
    return render(request, "releases/pattern.html", context)


@require_http_methods(FORM_METHODS)
def pattern_edit(request: HttpRequest, ref: str) -> HttpResponse:
    found = pattern_for(request, ref, EDITORS)
    form = PatternForm(request.POST or None, studio=found.studio, person=signed_in(request), pattern=found)
    if request.method == "POST" and form.is_valid():
        change_pattern(pattern=found, fields=form.cleaned_data, by=signed_in(request))
        messages.success(request, _("The pattern is saved."))
        return redirect("pattern", found.ref)
    context = {"form": form, "pattern": found}
    return render(request, "releases/pattern_form.html", context, status=422 if form.errors else 200)

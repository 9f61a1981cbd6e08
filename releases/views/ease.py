"""The ease of a version, its several lengths, and the size that it would be for a body."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from measurements.advice_forms import BodyForm
from measurements.forms import unit_of
from measurements.size_advice import advise
from people.access import EDITORS, EVERY_ROLE, signed_in
from releases.access import version_for
from releases.actions import Refused, declare_ease, remove_length, write_length
from releases.advice import measures_asked, pattern_facts
from releases.ease_page import ease_page
from releases.forms.ease import EaseForm, FinishedLengthForm
from releases.lengths_page import length_groups, lengths_along, lengths_headline
from releases.models import Fabric, FinishedLength, Version
from releases.size_page import advice_context
from releases.tables import charts_of
from releases.views.patterns import FORM_METHODS


@require_http_methods(FORM_METHODS)
def version_ease(request: HttpRequest, ref: str) -> HttpResponse:
    """The ease size by size, and what of it is meant."""
    found = version_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    page = ease_page(found)
    form = EaseForm(
        request.POST or None,
        rows=page.plain_rows,
        version=found,
        unit=unit_of(signed_in(request).units),
        knit=found.pattern.fabric == Fabric.KNIT,
    )
    if request.method == "POST" and form.is_valid():
        declare_ease(version=found, declared=form.declared(), stretch=form.required_stretch(), by=signed_in(request))
        messages.success(request, _("What is meant is saved, and every size is held against it."))
        return redirect("version_ease", found.ref)
    context = {"version": found, "pattern": found.pattern, "page": page, "form": form}
    return render(request, "releases/ease.html", context, status=422 if form.errors else 200)


@require_http_methods(FORM_METHODS)
def version_lengths(request: HttpRequest, ref: str) -> HttpResponse:
    """The lengths of a version. `of` names the one to change; `do=remove` takes it off."""
    found = version_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    of = _length_of(found, request.POST.get("of") or request.GET.get("of", ""))
    if request.method == "POST" and of and request.POST.get("do") == "remove":
        return _removed(request, found, of)
    along = lengths_along(charts_of(found)[1])
    sent = request.POST if request.method == "POST" else None
    form = FinishedLengthForm(sent, version=found, along=along, unit=unit_of(signed_in(request).units), of=of)
    if form.is_valid():
        try:
            write_length(
                version=found, of=of, change_mm=form.change_mm(), fields=form.cleaned_data, by=signed_in(request)
            )
        except Refused as refused:
            form.add_error(None, refused.sentence)
        else:
            messages.success(request, _("The length is saved."))
            return redirect("version_lengths", found.ref)
    return _lengths(request, found, form, of, along)


def _lengths(
    request: HttpRequest, found: Version, form: FinishedLengthForm, of: FinishedLength | None, along: dict[str, str]
) -> HttpResponse:
    groups = length_groups(found)
    context: dict[str, Any] = {
        "version": found,
        "pattern": found.pattern,
        "headline": lengths_headline(found, groups),
        "groups": groups,
        "form": form,
        "of": of,
        "along": along,
        "style": found.finished_chart.chart if found.finished_chart else None,
    }
    return render(request, "releases/lengths.html", context, status=422 if form.errors else 200)


def _length_of(found: Version, ref: str) -> FinishedLength | None:
    if not ref:
        return None
    length = found.lengths.filter(ref=ref).first()
    if length is None:
        raise Http404
    return length


def _removed(request: HttpRequest, found: Version, of: FinishedLength) -> HttpResponse:
    try:
        remove_length(length=of, by=signed_in(request))
    except Refused as refused:
        messages.error(request, refused.sentence)
    else:
        messages.success(request, _("“%(name)s” is taken off.") % {"name": of.name})
    return redirect("version_lengths", found.ref)


@require_http_methods(FORM_METHODS)
def version_size(request: HttpRequest, ref: str) -> HttpResponse:
    """Which size would it be? A body is tried on the version's numbers, and nothing of it is kept."""
    found = version_for(request, ref)
    unit = unit_of(signed_in(request).units)
    sent = request.POST if request.method == "POST" else None
    form = BodyForm(sent, places=measures_asked(found), unit=unit)
    context: dict[str, Any] = {"version": found, "pattern": found.pattern, "form": form}
    if form.is_valid():
        facts = pattern_facts(found)
        advice = advise(form.body(), facts, form.cleaned_data["wish"] or None)
        context |= advice_context(advice, facts, unit)
    return render(request, "releases/size.html", context, status=422 if form.errors else 200)

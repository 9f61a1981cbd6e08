"""The grade check of a version: ease per size, findings with their proposals, and what is declared for it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from measurements.forms import unit_of
from measurements.grade_forms import ReasonForm
from measurements.grade_store import GradeView, Looked
from measurements.views.grade import GONE, finding_context, keep_or_hear
from people.access import EDITORS, EVERY_ROLE, signed_in
from releases.access import version_for
from releases.actions import Refused, declare_finished_breaks, declare_grade_facts, take_finished_proposal
from releases.forms.grade import GradeFactsForm
from releases.grade import version_grade
from releases.models import Version
from releases.tables import charts_of
from releases.views.patterns import FORM_METHODS


@require_http_methods(FORM_METHODS)
def grade(request: HttpRequest, ref: str) -> HttpResponse:
    """The findings of a version; `do` is take, silence, hear or breaks."""
    found = version_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    view, rows = version_grade(found, may_edit=request.membership.role in EDITORS)
    context: dict[str, Any] = {
        **finding_context(None),
        "version": found,
        "pattern": found.pattern,
        "view": view,
        "rows": rows,
        "sizes": found.sizes,
        "base": found.base_size,
        "inch_parts": found.finished_chart.chart.inch_parts if found.finished_chart else 8,
    }
    if request.method == "POST":
        done = _do(request, found, view)
        if not isinstance(done, ReasonForm):
            return redirect("version_grade", found.ref)
        context |= {"reason": done, "reason_of": request.POST.get("finding", "")}
    return render(request, "releases/grade.html", context, status=422 if request.method == "POST" else 200)


def _do(request: HttpRequest, found: Version, view: GradeView) -> ReasonForm | None:
    looked = view.find(request.POST.get("finding", ""))
    try:
        if request.POST.get("do") == "breaks":
            _declare(request, found)
            return None
        if looked is None:
            messages.info(request, GONE)
            return None
        if request.POST.get("do") == "take":
            _take(request, found, looked)
            return None
    except Refused as refused:
        messages.error(request, refused.sentence)
        return None
    charts = {"body": found.body_chart, "finished": found.finished_chart}
    revision = charts[looked.finding.chart]
    return keep_or_hear(request, revision.chart, looked) if revision else None


def _take(request: HttpRequest, found: Version, looked: Looked) -> None:
    if request.POST.get("shown") != looked.shown:
        messages.info(request, _("The chart has changed meanwhile, and so has the proposal. Look at it again."))
        return
    revision = take_finished_proposal(version=found, finding=looked.finding, by=signed_in(request))
    messages.success(
        request, _("Taken: the finished measurements are now revision %(number)s.") % {"number": revision.number}
    )


def _declare(request: HttpRequest, found: Version) -> None:
    revision = declare_finished_breaks(
        version=found,
        measure=request.POST.get("measure", ""),
        sizes=request.POST.getlist("sizes"),
        by=signed_in(request),
    )
    messages.success(request, _("The breaks are declared.") if revision else _("Nothing had changed."))


@require_http_methods(FORM_METHODS)
def grade_facts(request: HttpRequest, ref: str) -> HttpResponse:
    """Seam pairs, gathers, the opening, and what the sewn base measures."""
    found = version_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    rows = [(line.key, line.label) for line in charts_of(found)[1].lines]
    form = GradeFactsForm(
        request.POST if request.method == "POST" else None,
        rows=rows,
        said=found.grade_facts,
        unit=unit_of(signed_in(request).units),
    )
    if request.method == "POST" and form.is_valid():
        declare_grade_facts(version=found, facts=form.facts(), by=signed_in(request))
        messages.success(request, _("What is declared is saved, and the grade is held against it."))
        return redirect("version_grade", found.ref)
    context = {"version": found, "pattern": found.pattern, "form": form, "rows": rows}
    return render(request, "releases/grade_facts.html", context, status=422 if form.errors else 200)

"""The evidence: of a zone, of one size at a zone, of a size, and one report whole."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from measurements.forms import unit_of
from people.access import EDITORS, signed_in
from testing_rounds.access import report_for, round_for
from testing_rounds.decision_forms import DecisionForm, WeighForm
from testing_rounds.evidence import Evidence, weigh
from testing_rounds.fix_stories import fix_stories
from testing_rounds.issues import issues_of
from testing_rounds.message_forms import talk
from testing_rounds.models import FitReport, IssueState
from testing_rounds.report_page import report_page
from testing_rounds.size_page import cell_page, size_page
from testing_rounds.views.dashboard import round_frame
from testing_rounds.zone_correction import zone_correction
from testing_rounds.zone_page import zone_page


@require_safe
def round_zone(request: HttpRequest, ref: str, zone: str) -> HttpResponse:
    """Every report of one zone, what is read from them, and what was decided."""
    return zone_response(request, evidence_for(request, ref), zone)


def evidence_for(request: HttpRequest, ref: str, **allowed: Any) -> Evidence:
    """The evidence of a round at the stage that the address names."""
    return weigh(round_for(request, ref, **allowed), stage=request.GET.get("stage", ""), kept=True)


def decision_form(request: HttpRequest, evidence: Evidence, zone: str) -> DecisionForm:
    """The form of a zone's decision, with what was sent in it; until then its numbers are the proposed ones."""
    return DecisionForm(
        request.POST or None,
        evidence=evidence,
        zone=zone,
        direction=evidence.readings[zone].direction,
        proposal=zone_correction(evidence, evidence.zones[zone]),
        unit=unit_of(signed_in(request).units),
    )


def zone_response(
    request: HttpRequest, evidence: Evidence, zone: str, form: DecisionForm | None = None
) -> HttpResponse:
    """The page of a zone, with the form as it was sent; 404 for a zone that is not asked."""
    if zone not in evidence.zones:
        raise Http404
    page, issues = zone_page(evidence, zone), issues_of(evidence.found, zone)
    form = form or decision_form(request, evidence, zone)
    if preview := form.is_bound and "preview" in request.POST:
        form.numbers_alone()
    context = {
        **round_frame(evidence.found),
        "evidence": evidence,
        "page": page,
        "issues": issues,
        "issue": next((issue for issue in issues if issue.direction == page.direction), None),
        "open_state": IssueState.OPEN,
        "proposal": form.proposal,
        "rows": form.rows(),
        "unit": form.unit,
        "preview": preview,
        "fabric": form.fabric() if preview else (),
        "stories": fix_stories(evidence, zone),
        "form": form if request.membership.role in EDITORS else None,
    }
    return render(request, "testing_rounds/zone.html", context, status=422 if form.errors else 200)


@require_safe
def round_cell(request: HttpRequest, ref: str, zone: str, position: int) -> HttpResponse:
    """All reports of one size at one zone."""
    evidence = evidence_for(request, ref)
    if zone not in evidence.zones or position >= len(evidence.data.sizes):
        raise Http404
    page = cell_page(evidence, zone, position)
    return render(request, "testing_rounds/cell.html", {**round_frame(evidence.found), "page": page})


@require_safe
def round_size(request: HttpRequest, ref: str, position: int) -> HttpResponse:
    """One size in all its zones: what a reviewer reads to judge it."""
    evidence = evidence_for(request, ref)
    if position >= len(evidence.data.sizes):
        raise Http404
    context = {**round_frame(evidence.found), "evidence": evidence, "page": size_page(evidence, position)}
    return render(request, "testing_rounds/size.html", context)


@require_safe
def report(request: HttpRequest, ref: str) -> HttpResponse:
    """One report whole."""
    return report_response(request, report_for(request, ref))


def report_response(request: HttpRequest, found: FitReport, typed: WeighForm | None = None) -> HttpResponse:
    """The page of a report, with an unusable form where one was sent."""
    evidence = weigh(found.place.round, stage=found.stage, kept=True)
    page = report_page(evidence, found, editing=request.membership.role in EDITORS, typed=typed)
    context = {**round_frame(evidence.found), "page": page, "typed": typed, "place": found.place}
    context |= talk(found.place, by_tester=False)
    return render(request, "testing_rounds/report.html", context, status=422 if typed and typed.errors else 200)

"""What an editor decides: on a zone, and on whether an answer counts."""

from __future__ import annotations

from collections.abc import Sequence

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from people.access import EDITORS, signed_in
from testing_rounds.access import report_for
from testing_rounds.actions.decisions import decide as record_decision
from testing_rounds.actions.weighing import weigh_by_hand
from testing_rounds.decision_forms import WeighForm
from testing_rounds.evidence_filter import Links
from testing_rounds.models import FitReport, Stage, Weighing
from testing_rounds.views.evidence import decision_form, evidence_for, report_response, zone_response


@require_POST
def decide(request: HttpRequest, ref: str, zone: str) -> HttpResponse:
    """Record a decision on a zone."""
    evidence = evidence_for(request, ref, roles=EDITORS)
    if zone not in evidence.zones:
        raise Http404
    form = decision_form(request, evidence, zone)
    if not form.is_valid() or "preview" in request.POST:
        return zone_response(request, evidence, zone, form)
    record_decision(evidence=evidence, zone=zone, by=signed_in(request), **form.decision())
    messages.success(request, _("The decision is recorded."))
    return redirect(Links.of(evidence).zone(zone))


@require_POST
def weigh_answer(request: HttpRequest, ref: str, zone: str) -> HttpResponse:
    """Set one answer of a report aside, or put it back; then show the page that asked for it."""
    found = report_for(request, ref, EDITORS)
    keys = [entry["key"] for entry in found.place.round.zones]
    if zone not in keys or not found.verdicts.filter(zone=zone).exists():
        raise Http404
    form = WeighForm(request.POST, zone=zone, at=keys.index(zone))
    links = Links(found.place.round.ref, found.stage if found.stage != Stage.TOILE else "")
    back = links.zone(zone) if request.POST.get("from") == "zone" else links.report(found, f"answer-{keys.index(zone)}")
    return _weigh(request, found, form, [zone], back)


@require_POST
def weigh_report(request: HttpRequest, ref: str) -> HttpResponse:
    """Set every answer of a report aside, or put them all back."""
    found = report_for(request, ref, EDITORS)
    asked = [entry["key"] for entry in found.place.round.zones]
    zones = list(found.verdicts.filter(zone__in=asked).order_by("id").values_list("zone", flat=True))
    return _weigh(request, found, WeighForm(request.POST), zones, reverse("report", args=[found.ref]))


def _weigh(request: HttpRequest, found: FitReport, form: WeighForm, zones: Sequence[str], back: str) -> HttpResponse:
    if not form.is_valid():
        return report_response(request, found, typed=form)
    weigh_by_hand(report=found, zones=zones, by=signed_in(request), **form.cleaned_data)
    put_back = form.cleaned_data["what"] == Weighing.BACK
    if len(zones) > 1:
        said = _("The whole report counts again.") if put_back else _("The whole report is set aside.")
    else:
        said = _("The answer counts again.") if put_back else _("The answer is set aside.")
    messages.success(request, said)
    return redirect(back)

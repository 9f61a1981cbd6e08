"""The overview of a round, which updates itself, and the notes on its steps."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.http import urlencode
from django.utils.timezone import localtime, now
from django.views.decorators.http import require_safe

from people.mail import site_address
from testing_rounds.access import round_for
from testing_rounds.evidence import weigh
from testing_rounds.evidence_filter import FilterForm, Links, another_round, shown_of
from testing_rounds.issues import beside
from testing_rounds.models import Round, RoundState
from testing_rounds.overview import overview
from testing_rounds.overview_lists import with_print_checks
from testing_rounds.step_notes import steps_page

KEPT = ("stage", "size", "zone")


@require_safe
def round_overview(request: HttpRequest, ref: str) -> HttpResponse:
    """The whole round on one page. A live page names the revision it has `seen`: 204 while nothing has changed."""
    found = round_for(request, ref)
    if request.htmx and request.GET.get("seen") == str(found.revision):
        return HttpResponse(status=204)
    known = beside(found)
    elsewhere = another_round(found, request.GET, known.rounds)
    if elsewhere:
        return redirect(elsewhere)
    template = "testing_rounds/round.html" + ("#overview" if request.htmx else "")
    response = render(request, template, _overview_context(request, found, known))
    patch_vary_headers(response, ["HX-Request"])
    return response


def _overview_context(request: HttpRequest, found: Round, known: Any) -> dict[str, Any]:
    evidence = weigh(with_print_checks(found), stage=request.GET.get("stage", ""))
    shown = shown_of(evidence, request.GET)
    asked = {name: request.GET[name] for name in KEPT if request.GET.get(name)}
    moment = localtime(now())
    return {
        **round_frame(found),
        "evidence": evidence,
        "page": overview(evidence, shown, known, moment.date()),
        "shown": shown,
        "shown_words": shown.words(evidence),
        "form": FilterForm(evidence, shown, known.rounds),
        "noting": known.noting,
        "live": f"{request.path}?{urlencode({**asked, 'seen': str(found.revision)})}",
        "all_url": Links.of(evidence).overview(),
        "poll": settings.POLL_SECONDS,
        "moment": moment,
        "is_fragment": bool(request.htmx),
        "call": site_address_of_call(found),
    }


def round_frame(found: Round) -> dict[str, Any]:
    """What the frame of every page of a round needs."""
    return {"round": found, "version": found.version, "pattern": found.version.pattern}


def site_address_of_call(found: Round) -> str:
    """The whole address of the call while it is open, to be copied."""
    return site_address(reverse("call", args=[found.call_ref])) if found.state == RoundState.CALL_OPEN else ""


@require_safe
def round_steps(request: HttpRequest, ref: str) -> HttpResponse:
    """What testers noted at each step of the instructions."""
    found = round_for(request, ref)
    return render(request, "testing_rounds/round_steps.html", {**round_frame(found), "page": steps_page(found)})

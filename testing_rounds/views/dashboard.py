"""The overview of a round, which updates itself, and the notes on its steps."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.http import urlencode
from django.utils.timezone import localtime, now
from django.utils.translation import get_language
from django.views.decorators.http import require_safe

from people.access import EDITORS
from people.mail import site_address
from testing_rounds.access import round_for
from testing_rounds.evidence import weigh
from testing_rounds.evidence_filter import Links, another_round, choices, shown_of
from testing_rounds.issues import Beside, beside
from testing_rounds.kept_parts import KeptParts
from testing_rounds.lesson_page import lesson_page
from testing_rounds.models import Round, RoundState
from testing_rounds.overview import overview
from testing_rounds.overview_lists import people_stamp, with_people
from testing_rounds.print_faults import SquareRead
from testing_rounds.round_findings import beside_findings, checked_squares
from testing_rounds.step_notes import steps_page

ASKED = ("stage", "size", "zone", "file", "fabric")


@dataclass(frozen=True)
class LivePart:
    """The part of the page that keeps itself up to date, and its first sentence."""

    html: str
    headline: str


_kept: KeptParts[LivePart] = KeptParts(settings.OVERVIEWS_KEPT)


@require_safe
def round_overview(request: HttpRequest, ref: str) -> HttpResponse:
    """The whole round on one page. A live page names the revision it has `seen`: 204 while nothing has changed."""
    found = round_for(request, ref, with_reading=True)
    if request.htmx and request.GET.get("seen") == str(found.revision):
        return HttpResponse(status=204)
    known = beside(found)
    elsewhere = another_round(found, request.GET, known.rounds)
    if elsewhere:
        return redirect(elsewhere)
    with_people(found)
    squares = checked_squares(found)
    key = (_key(request, found, known), tuple(known.others.values()), squares)
    part = _kept.get(key, lambda: _live_part(request, found, known, squares))
    template = "testing_rounds/round.html" + ("#newer" if request.htmx else "")
    response = render(request, template, {**round_frame(found), "part": part, "moment": localtime(now())})
    patch_vary_headers(response, ["HX-Request"])
    return response


def _asked(request: HttpRequest) -> dict[str, str]:
    return {name: request.GET[name] for name in ASKED if request.GET.get(name)}


def _key(request: HttpRequest, found: Round, known: Beside) -> Hashable:
    """Everything that the live part shows: what the revision counts, and what it does not."""
    plan = (found.state, found.name, found.call_closes, found.starts, found.report_due, found.closes, str(found.zones))
    pattern = found.version.pattern
    version = (found.version.number, found.version.base_size, pattern.kind, str(found.version.sizes))
    beside_it = (known.rounds, tuple(known.issues.values()), known.noting)
    reader = (request.membership.role in EDITORS, get_language(), localtime(now()).date())
    asked = tuple(_asked(request).items())
    return (found.ref, found.revision, plan, version, beside_it, people_stamp(found), reader, asked)


def _live_part(request: HttpRequest, found: Round, known: Beside, squares: Sequence[SquareRead]) -> LivePart:
    evidence = weigh(found, stage=request.GET.get("stage", ""), kept=True)
    shown = shown_of(evidence, request.GET)
    page = overview(
        evidence, shown, known, localtime(now()).date(), beside_findings(found, known, squares, evidence.sent)
    )
    context = {
        **round_frame(found),
        "evidence": evidence,
        "page": page,
        "shown": shown,
        "shown_words": shown.words(evidence),
        "choices": choices(evidence, shown, known.rounds),
        "noting": known.noting,
        "live": f"{request.path}?{urlencode({**_asked(request), 'seen': str(found.revision)})}",
        "all_url": Links.of(evidence).overview(),
        "poll": settings.POLL_SECONDS,
        "call": _call_address(found),
    }
    return LivePart(render_to_string("testing_rounds/round.html#overview", context, request), page.headline)


def round_frame(found: Round) -> dict[str, Any]:
    """What the frame of every page of a round needs."""
    return {"round": found, "version": found.version, "pattern": found.version.pattern}


def _call_address(found: Round) -> str:
    """The whole address of the call while it is open, to be copied."""
    return site_address(reverse("call", args=[found.call_ref])) if found.state == RoundState.CALL_OPEN else ""


@require_safe
def round_steps(request: HttpRequest, ref: str) -> HttpResponse:
    """What testers noted at each step of the instructions."""
    found = round_for(request, ref)
    return render(request, "testing_rounds/round_steps.html", {**round_frame(found), "page": steps_page(found)})


@require_safe
def round_advice(request: HttpRequest, ref: str) -> HttpResponse:
    """Which side of a size boundary was happier, with the reports behind it. It changes no rule."""
    found = round_for(request, ref)
    page = lesson_page(weigh(found, kept=True))
    return render(request, "testing_rounds/round_advice.html", {**round_frame(found), "page": page})

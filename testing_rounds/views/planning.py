"""A round's plan, and its way from planned to closed."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST

from people.access import EDITORS, EVERY_ROLE, signed_in
from releases.access import version_for
from releases.actions.refused import Refused
from testing_rounds.access import round_for
from testing_rounds.actions.rounds import change_plan, close_round, open_call, plan_round, start_sewing
from testing_rounds.models import Round, RoundState
from testing_rounds.planning_forms import PlanForm, view_names

FORM_METHODS = ["GET", "HEAD", "POST"]
MOVES: dict[str, tuple[Callable[..., Round], str | Promise]] = {
    RoundState.CALL_OPEN: (open_call, gettext_lazy("The call is open. Send its address to those who should see it.")),
    RoundState.SEWING: (start_sewing, gettext_lazy("Sewing has started. Reports show as they come in.")),
    RoundState.CLOSED: (close_round, gettext_lazy("The round is closed. Nothing in it is lost.")),
}


@require_http_methods(FORM_METHODS)
def round_new(request: HttpRequest, ref: str) -> HttpResponse:
    """Plan a round of a version, with defaults for its kind of garment."""
    version = version_for(request, ref, EDITORS)
    sent = request.POST if request.method == "POST" else None
    form = PlanForm(sent, version=version, today=timezone.now().date())
    if form.is_valid():
        made = plan_round(version=version, fields=form.plan(), by=signed_in(request))
        messages.success(request, _("%(round)s is planned. Nobody outside sees it yet.") % {"round": made.name})
        return redirect("panel", made.ref)
    context = {"form": form, "version": version, "pattern": version.pattern}
    return render(request, "testing_rounds/plan.html", context, status=422 if form.errors else 200)


@require_http_methods(FORM_METHODS)
def round_plan(request: HttpRequest, ref: str) -> HttpResponse:
    """The plan, to change or, for a reviewer, to read."""
    found = round_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    sent = request.POST if request.method == "POST" else None
    form = PlanForm(sent, version=found.version, found=found, today=timezone.now().date())
    if form.is_valid():
        try:
            change_plan(found=found, fields=form.plan(), by=signed_in(request))
        except Refused as refused:
            form.add_error("zones", refused.sentence)
        else:
            messages.success(request, _("The plan is saved."))
            return redirect("panel", found.ref)
    names = view_names()
    context = {
        "form": form,
        "round": found,
        "version": found.version,
        "pattern": found.version.pattern,
        "views": [names.get(key, key) for key in found.views],
    }
    return render(request, "testing_rounds/plan.html", context, status=422 if form.errors else 200)


@require_POST
def round_state(request: HttpRequest, ref: str) -> HttpResponse:
    """Open the call, start sewing, close, or open again: `to` names the state."""
    found = round_for(request, ref, EDITORS)
    to = request.POST.get("to", "")
    if to not in MOVES:
        messages.error(request, _("A round is opened, sewn or closed."))
    elif refusal := _too_late(found, to):
        messages.error(request, refusal)
    else:
        action, done = MOVES[to]
        try:
            action(found=found, by=signed_in(request))
        except Refused as refused:
            messages.error(request, refused.sentence)
        else:
            messages.success(request, str(done))
    return redirect("panel", found.ref)


def _too_late(found: Round, to: str) -> str:
    """A call whose last day has passed would open on nobody."""
    if to != RoundState.CALL_OPEN or found.call_closes is None or found.call_closes >= timezone.now().date():
        return ""
    day = date_format(found.call_closes, "j F Y")
    return _("The call’s last day, %(day)s, has passed. Set a later one in the plan first.") % {"day": day}

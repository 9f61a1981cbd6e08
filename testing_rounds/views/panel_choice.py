"""Choosing a panel: the best choice with its reasons, the designer's changes with what they cost."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from people.access import EDITORS, EVERY_ROLE, signed_in
from releases.actions.refused import Refused
from testing_rounds.access import round_for
from testing_rounds.actions import panel as actions
from testing_rounds.models import Round
from testing_rounds.panel_choice_page import ChoicePage, choice_headline, current_marks
from testing_rounds.panel_page import Panel

MARK = "p-"


@require_http_methods(["GET", "HEAD", "POST"])
def panel_choice(request: HttpRequest, ref: str) -> HttpResponse:
    """Who should sew, and why. `do`: draw the lot, look (what do these marks cost), or take the choice."""
    found = round_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    if request.method == "POST" and request.POST.get("do") == "draw":
        actions.draw_lot(found=found, by=signed_in(request))
        return redirect("panel_choice", found.ref)
    panel = Panel(found)
    if not found.lot:
        return render(request, "testing_rounds/panel_lot.html", _frame(found) | {"people": panel.places})
    sent = request.method == "POST"
    page = ChoicePage(panel, _marks(request) if sent else _opened_with(request, panel))
    if sent and request.POST.get("do") == "take":
        return _taken(request, found, page)
    template = "testing_rounds/panel_choice.html"
    if request.htmx:
        template += "#choice"
    return render(request, template, page.context() | {"headline": choice_headline(page)})


def _opened_with(request: HttpRequest, panel: Panel) -> dict[str, str] | None:
    """What stands already, unless the best choice is asked for."""
    return None if "best" in request.GET else current_marks(panel)


def _marks(request: HttpRequest) -> dict[str, str]:
    return {key.removeprefix(MARK): str(mark) for key, mark in request.POST.items() if key.startswith(MARK)}


def _taken(request: HttpRequest, found: Round, page: ChoicePage) -> HttpResponse:
    try:
        actions.take_choice(found=found, sizes=page.sizes, reserves=page.reserves, by=signed_in(request))
    except Refused as refused:
        messages.error(request, refused.sentence)
        return redirect("panel_choice", found.ref)
    count = len(page.sizes)
    said = ngettext("One tester is chosen", "%(count)s testers are chosen", count) % {"count": count}
    kept = _("%(count)s in reserve. Nobody has been written to yet.") % {"count": len(page.reserves)}
    messages.success(request, f"{said}, {kept}")
    return redirect("panel", found.ref)


def _frame(found: Round) -> dict[str, object]:
    return {"round": found, "version": found.version, "pattern": found.version.pattern}

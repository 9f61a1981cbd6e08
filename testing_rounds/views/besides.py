"""A step at which notes repeat, and the prints of a file: the evidence, and what is decided about it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from people.access import EDITORS, EVERY_ROLE, signed_in
from testing_rounds.access import round_for
from testing_rounds.actions.decisions import decide_beside
from testing_rounds.beside_fixes import beside_stories
from testing_rounds.beside_forms import BesideForm
from testing_rounds.beside_pages import prints_page, step_page
from testing_rounds.explain_page import explain_page
from testing_rounds.issues import issues_about
from testing_rounds.models import DecisionKind, IssueAbout, Round
from testing_rounds.views.dashboard import round_frame

PAGE_METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(PAGE_METHODS)
def round_step(request: HttpRequest, ref: str, step: int) -> HttpResponse:
    """One step: its words, its notes, how they weigh; and a decision on its wording."""
    found = _found(request, ref)
    page = step_page(found, step)
    if page is None:
        raise Http404
    form = BesideForm(request.POST or None, likely=DecisionKind.WORDING, text=page.proposed)
    about = {"about": IssueAbout.STEP, "key": str(step), "direction": 0, "sizes": ()}
    return _page(request, found, "testing_rounds/one_step.html", page, form, about)


@require_http_methods(PAGE_METHODS)
def round_prints(request: HttpRequest, ref: str, file: str) -> HttpResponse:
    """The prints of one file: every square, whether it is the file or a printer; and a decision on the file."""
    found = _found(request, ref)
    page = prints_page(found, file)
    if page is None:
        raise Http404
    form = BesideForm(request.POST or None, likely=DecisionKind.PRINT)
    about = {"about": IssueAbout.FILE, "key": file, "direction": page.direction, "sizes": ()}
    return _page(request, found, "testing_rounds/file_prints.html", page, form, about)


@require_safe
def round_explain(request: HttpRequest, ref: str) -> HttpResponse:
    """The steps to explain, those first at which most got lost."""
    found = round_for(request, ref)
    return render(request, "testing_rounds/explain.html", {**round_frame(found), "page": explain_page(found)})


def _found(request: HttpRequest, ref: str) -> Round:
    return round_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)


def _page(
    request: HttpRequest, found: Round, template: str, page: Any, form: BesideForm, about: dict[str, Any]
) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        decide_beside(found=found, fixed_in=None, by=signed_in(request), **about, **form.decision())
        messages.success(request, _("The decision is recorded."))
        return redirect(request.path)
    issues = issues_about(found, about["about"], about["key"])
    editing = request.membership.role in EDITORS
    context = {
        **round_frame(found),
        "page": page,
        "issues": issues,
        "stories": beside_stories(found, about["about"], about["key"]),
        "form": form if editing else None,
    }
    return render(request, template, context, status=422 if form.errors else 200)

"""The launch check of a version, its way to the shop, and marks cleared with a reason."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from people.access import EDITORS, OWNERS, signed_in
from releases.access import mark_for, version_for
from releases.actions.launch import clear_version, confirm_check, override_check, put_on_sale, withdraw_version
from releases.actions.refused import Refused
from releases.actions.stale import clear_with_reason
from releases.forms.launch import ReasonForm
from releases.launch import READY_FOR, gate_of, headline
from releases.models import LaunchWord, Version, VersionState
from releases.registry import launch_checks
from releases.size_conditions import grid_of
from releases.stale_store import open_marks


@require_safe
def version_launch(request: HttpRequest, ref: str) -> HttpResponse:
    return _page(request, version_for(request, ref))


def _page(request: HttpRequest, found: Version, *, at: str = "", wrong: ReasonForm | None = None) -> HttpResponse:
    """The whole check; `at` names the form that was sent without a reason."""
    gate = gate_of(found)
    context = {
        "version": found,
        "pattern": found.pattern,
        "gate": gate,
        "headline": headline(gate),
        "grid": grid_of(found),
        "marks": open_marks(found),
        "ready": found.state in READY_FOR,
        "states": VersionState,
        "withdrawn": found.launch_words.filter(kind=LaunchWord.Kind.WITHDRAWN).select_related("by").last(),
        "settled_marks": found.stale_marks.exclude(cleared_at=None)
        .select_related("cleared_by")
        .order_by("-cleared_at"),
        "at": at,
        "wrong": wrong,
    }
    return render(request, "releases/launch.html", context, status=422 if wrong else 200)


@require_POST
def launch_state(request: HttpRequest, ref: str) -> HttpResponse:
    """Clear the version, put it on sale, or withdraw it (`do`)."""
    found = version_for(request, ref, EDITORS)
    do, by = request.POST.get("do"), signed_in(request)
    form = ReasonForm(request.POST)
    if do == "withdraw" and not form.is_valid():
        return _page(request, found, at="withdraw", wrong=form)
    try:
        if do == "clear":
            clear_version(version=found, by=by)
        elif do == "sale":
            put_on_sale(version=found, by=by)
        elif do == "withdraw":
            withdraw_version(version=found, reason=form.cleaned_data["reason"], by=by)
        else:
            raise Http404
    except Refused as refused:
        messages.error(request, refused.sentence)
    return redirect("version_launch", found.ref)


def _checked_version(request: HttpRequest, ref: str, check: str, roles: frozenset[str]) -> Version:
    """The version, where there is a check of that name."""
    found = version_for(request, ref, roles)
    if all(one.key != check for one in launch_checks()):
        raise Http404
    return found


@require_POST
def launch_override(request: HttpRequest, ref: str, check: str) -> HttpResponse:
    """The owner lets a failing check go, with a reason."""
    found = _checked_version(request, ref, check, OWNERS)
    form = ReasonForm(request.POST)
    if not form.is_valid():
        return _page(request, found, at=check, wrong=form)
    try:
        override_check(version=found, key=check, reason=form.cleaned_data["reason"], by=signed_in(request))
    except Refused as refused:
        messages.error(request, refused.sentence)
    return redirect("version_launch", found.ref)


@require_POST
def launch_confirm(request: HttpRequest, ref: str, check: str) -> HttpResponse:
    """A person's word where only a person can know."""
    found = _checked_version(request, ref, check, EDITORS)
    try:
        confirm_check(version=found, key=check, by=signed_in(request))
    except Refused as refused:
        messages.error(request, refused.sentence)
    else:
        messages.success(request, _("Kept with your name and the day."))
    return redirect("version_launch", found.ref)


@require_POST
def stale_clear(request: HttpRequest, ref: str) -> HttpResponse:
    """Clear a mark with what was done, or why it may stay."""
    mark = mark_for(request, ref)
    form = ReasonForm(request.POST)
    if not form.is_valid():
        return _page(request, mark.version, at=mark.ref, wrong=form)
    clear_with_reason(mark=mark, reason=form.cleaned_data["reason"], by=signed_in(request))
    return redirect(reverse("version_launch", args=[mark.version.ref]) + "#check-stale")

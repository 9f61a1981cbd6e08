"""The wording check of a version: each finding beside its step, to be taken, silenced or heard again."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from people.access import EDITORS, signed_in
from releases.access import version_for
from releases.actions import Refused
from releases.actions.wording import GONE, hear_wording, silence_wording, take_wording
from releases.forms.wording import WordingReasonForm
from releases.models import FileKind, Version
from releases.views.patterns import FORM_METHODS
from releases.wording_facts import version_facts
from releases.wording_page import wording_headline, wording_page


@require_http_methods(FORM_METHODS)
def version_wording(request: HttpRequest, ref: str) -> HttpResponse:
    """The steps with what their words get wrong; those who may edit take a proposal, keep the words or hear again."""
    if request.method != "POST":
        return _page(request, version_for(request, ref))
    version = version_for(request, ref, EDITORS)
    deed, form = request.POST.get("do", ""), WordingReasonForm(request.POST)
    if deed == "silence" and not form.is_valid():
        return _page(request, version, form=form, reason_of=request.POST.get("finding", ""))
    try:
        _do(request, version, deed, form)
    except Refused as refused:
        messages.error(request, refused.sentence)
    return redirect("version_wording", version.ref)


def _do(request: HttpRequest, version: Version, deed: str, form: WordingReasonForm) -> None:
    by, key = signed_in(request), request.POST.get("finding", "")
    if deed == "hear":
        for one in version.silenced_wording.filter(ref=key):
            hear_wording(silenced=one, by=by)
        return
    line = next((one for one in wording_page(version).open if one.key == key), None)
    if line is None:
        raise Refused(GONE)
    if deed == "take":
        take_wording(version=version, line=line, by=by)
        messages.success(request, _("Step %(number)s now has the proposed words.") % {"number": line.found.step})
    elif deed == "silence":
        silence_wording(version=version, line=line, reason=form.cleaned_data["reason"], by=by)
        messages.success(request, _("The words stay as they are; your reason stands below."))


def _page(request: HttpRequest, version: Version, **more: Any) -> HttpResponse:
    page = wording_page(version)
    context = {
        "version": version,
        "pattern": version.pattern,
        "page": page,
        "headline": wording_headline(version, page),
        "reason": more.get("form") or WordingReasonForm(),
        "reason_of": more.get("reason_of", ""),
        "booklet": version.current_files().filter(kind=FileKind.BOOKLET).first(),
    }
    return render(request, "releases/version_wording.html", context, status=422 if more else 200)


@require_safe
def version_wording_facts(request: HttpRequest, ref: str) -> JsonResponse:
    """What the words are held against, as a file for `manage.py check_wording --facts`."""
    version = version_for(request, ref)
    answer = JsonResponse(version_facts(version), json_dumps_params={"indent": 1, "ensure_ascii": False})
    answer["Content-Disposition"] = f'attachment; filename="wording-facts-{version.ref}.json"'
    return answer

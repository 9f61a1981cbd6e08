"""The next version as a round's decisions make it, and the list of what is sewn again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from people.access import EDITORS, EVERY_ROLE, signed_in
from releases.actions.refused import Refused
from releases.models import Version
from testing_rounds.access import round_for
from testing_rounds.actions.next_version import draft_next_version
from testing_rounds.evidence import weigh
from testing_rounds.next_form import NextForm
from testing_rounds.next_version import next_page, resewing
from testing_rounds.views.dashboard import round_frame


@require_http_methods(["GET", "HEAD", "POST"])
def next_version(request: HttpRequest, ref: str) -> HttpResponse:
    """What goes into the next version, before and after; the button drafts it."""
    found = round_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    page = next_page(weigh(found, kept=True))
    form = NextForm(request.POST or None, pattern=found.version.pattern, number=page.number)
    made = next((one.issue.fixed_in for one in page.carried if _named(one.issue.fixed_in, request)), None)
    if made and not page.going:
        return redirect("version", made.ref)  # a double tap
    if request.method == "POST" and form.is_valid():
        try:
            made = draft_next_version(found=found, number=form.cleaned_data["number"], by=signed_in(request))
        except Refused as refused:
            form.add_error("number", refused.sentence)
        else:
            messages.success(request, _("Version %(number)s is drafted.") % {"number": made.number})
            return redirect("version", made.ref)
    editing = request.membership.role in EDITORS
    context = {**round_frame(found), "page": page, "form": form if editing else None}
    return render(request, "testing_rounds/next_version.html", context, status=422 if form.errors else 200)


def _named(version: Version | None, request: HttpRequest) -> bool:
    return version is not None and version.number == request.POST.get("number")


@require_safe
def resew(request: HttpRequest, ref: str) -> HttpResponse:
    """Who re-sews what, decision by decision."""
    found = round_for(request, ref)
    return render(
        request, "testing_rounds/resew.html", {**round_frame(found), "again": resewing(weigh(found, kept=True))}
    )

"""The fit-issue summary of a round: asked for, waited for, read."""

from __future__ import annotations

import logging

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_http_methods, require_safe

from people.access import signed_in
from releases.paper import PAPERS
from testing_rounds.access import round_for
from testing_rounds.actions.summaries import ask_for_summary, waited_long
from testing_rounds.evidence import weigh
from testing_rounds.models import PhotoState, Summary
from testing_rounds.summary_document import SET, file_name, is_long, write
from testing_rounds.views.dashboard import round_frame

log = logging.getLogger(__name__)


@require_http_methods(["GET", "HEAD", "POST"])
def summary(request: HttpRequest, ref: str) -> HttpResponse:
    """Choose the paper; the documents that are there. A short one is made at once, a long one by a worker."""
    found = round_for(request, ref)
    if request.method == "POST":
        paper = PAPERS.get(request.POST.get("paper", ""), PAPERS["a4"])
        at_once = not is_long(weigh(found, kept=True))
        asked = ask_for_summary(found=found, paper=paper.key, by=signed_in(request), soon=at_once)
        if at_once:
            _make(asked)
        return redirect("summary_file", asked.ref)
    made = [(one, one.revision < found.revision) for one in found.summaries.order_by("-revision", "paper")]
    context = {**round_frame(found), "papers": PAPERS.values(), "made": made, "reports": weigh(found, kept=True).rows}
    return render(request, "testing_rounds/summary.html", context)


def _make(asked: Summary) -> None:
    """Make it now. What goes wrong is said by the page that follows, and the worker tries again."""
    try:
        write(asked)
    except Exception:
        log.exception("A summary could not be made at once.")


@require_safe
def summary_file(request: HttpRequest, ref: str) -> HttpResponseBase:
    """The PDF, or how far it is. A waiting page names what it has `seen`: 204 while nothing has changed."""
    asked = Summary.objects.filter(ref=ref).select_related("round").first()
    if asked is None:
        raise Http404
    found = asked.round = round_for(request, asked.round.ref)
    if asked.state == PhotoState.READY and not request.htmx:
        return _shown(asked)
    standing = f"{asked.state}-{asked.done}{'-long' if waited_long(asked) else ''}"
    if request.htmx and request.GET.get("seen") == standing:
        return HttpResponse(status=204)
    context = {
        **round_frame(found),
        "asked": asked,
        "paper": PAPERS[asked.paper],
        "standing": standing,
        "steps": SET,
        "waited_long": waited_long(asked),
    }
    response = render(request, "testing_rounds/summary_wait.html" + ("#standing" if request.htmx else ""), context)
    patch_vary_headers(response, ["HX-Request"])
    return response


def _shown(asked: Summary) -> FileResponse:
    try:
        file = default_storage.open(asked.stored)
    except FileNotFoundError:
        raise Http404 from None
    response = FileResponse(file, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{file_name(asked)}"'
    response["Cache-Control"] = "private, no-store"
    return response

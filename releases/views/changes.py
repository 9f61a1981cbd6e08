"""What changed since the version before: a page, a document, and pictures of the pages that changed."""

from __future__ import annotations

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from people.access import EDITORS
from releases.access import comparison_for, version_for
from releases.file_comparisons import ask_for_comparisons
from releases.paper import PAPERS, render_pdf
from releases.what_changed import file_name, what_changed


@require_safe
def version_changed(request: HttpRequest, ref: str) -> HttpResponse:
    found = version_for(request, ref)
    changed = what_changed(found)
    context = {"version": found, "pattern": found.pattern, "changed": changed}
    fragment = "#files" if request.headers.get("HX-Request") else ""
    return render(request, f"releases/version_changed.html{fragment}", context)


@require_POST
def version_compare(request: HttpRequest, ref: str) -> HttpResponse:
    """Have the files compared that are not yet, and those again that could not be."""
    found = version_for(request, ref, EDITORS)
    ask_for_comparisons(found, again=True)
    return redirect("version_changed", found.ref)


@require_safe
def version_changed_pdf(request: HttpRequest, ref: str) -> HttpResponse:
    """The same as a document, on A4 unless `?paper=letter` asks otherwise."""
    found = version_for(request, ref)
    paper = PAPERS.get(request.GET.get("paper", ""), PAPERS["a4"])
    context = {
        "version": found,
        "pattern": found.pattern,
        "changed": what_changed(found),
        "today": timezone.localdate(),
    }
    response = HttpResponse(
        render_pdf("paper/what_changed.html", context, paper=paper.key), content_type="application/pdf"
    )
    response["Content-Disposition"] = f'inline; filename="{file_name(found, paper)}"'
    response["Cache-Control"] = "private, no-store"
    return response


@require_safe
def changed_page(request: HttpRequest, ref: str, page: int) -> HttpResponseBase:
    """The picture of one page, old and new over one another."""
    found = comparison_for(request, ref)
    stored = found.pictures.get(str(page))
    if stored is None:
        raise Http404
    try:
        response = FileResponse(default_storage.open(stored), content_type="image/svg+xml")
    except FileNotFoundError:
        raise Http404 from None
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response

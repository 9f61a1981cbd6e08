"""The measurement tables of a version, on screen and on paper."""

from __future__ import annotations

from django.core.files.storage import default_storage
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from releases.access import version_for
from releases.models import MadeState, Version
from releases.paper import PAPERS, Paper
from releases.table_document import ask_for, file_name, is_long, laid_out, tables_pdf
from releases.table_layout import on_screen
from releases.tables import measurement_tables


@require_safe
def tables(request: HttpRequest, ref: str) -> HttpResponse:
    found = version_for(request, ref)
    made = measurement_tables(found)
    context = {"version": found, "pattern": found.pattern, "tables": made, "sheet": on_screen(made)}
    return render(request, "releases/measurement_tables.html", context)


@require_safe
def tables_document(request: HttpRequest, ref: str) -> HttpResponseBase:
    """The PDF, on A4 unless `?paper=letter` asks otherwise. A long one is made by a worker while a page waits."""
    found = version_for(request, ref)
    paper = PAPERS.get(request.GET.get("paper", ""), PAPERS["a4"])
    made, layout = laid_out(found, paper)
    if not is_long(layout):
        return _shown(HttpResponse(tables_pdf(found, paper), content_type="application/pdf"), found, paper)
    document = ask_for(found, paper, made, again="again" in request.GET)
    waits = bool(request.headers.get("HX-Request"))
    if document.state == MadeState.READY and not waits:
        return _shown(FileResponse(default_storage.open(document.stored), content_type="application/pdf"), found, paper)
    context = {"version": found, "pattern": found.pattern, "document": document, "paper": paper, "rows": layout.rows}
    return render(request, "releases/tables_wait.html#standing" if waits else "releases/tables_wait.html", context)


def _shown(response: HttpResponseBase, version: Version, paper: Paper) -> HttpResponseBase:
    response["Content-Disposition"] = f'inline; filename="{file_name(version, paper)}"'
    response["Cache-Control"] = "private, no-store"
    return response

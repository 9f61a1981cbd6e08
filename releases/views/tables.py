"""The measurement tables of a version, on screen and on paper."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from releases.access import version_for
from releases.made_documents import What
from releases.table_document import file_name, is_long, laid_out, tables_content, tables_pdf
from releases.table_layout import on_screen
from releases.tables import measurement_tables
from releases.views.made import made_or_waiting, paper_of, shown


@require_safe
def tables(request: HttpRequest, ref: str) -> HttpResponse:
    found = version_for(request, ref)
    made = measurement_tables(found)
    context = {"version": found, "pattern": found.pattern, "tables": made, "sheet": on_screen(made)}
    return render(request, "releases/measurement_tables.html", context)


@require_safe
def tables_document(request: HttpRequest, ref: str) -> HttpResponseBase:
    """The PDF, on A4 unless `?paper=letter` asks otherwise. A long one is made by a worker while a page waits."""
    found, paper = version_for(request, ref), paper_of(request)
    made, layout = laid_out(found, paper)
    name = file_name(found, paper)
    if not is_long(layout):
        return shown(HttpResponse(tables_pdf(found, paper), content_type="application/pdf"), name)
    return made_or_waiting(request, found, What.TABLES, paper, tables_content(found, made), name)

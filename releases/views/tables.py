"""The measurement tables of a version, on screen and on paper."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.text import get_valid_filename
from django.views.decorators.http import require_safe

from releases.access import version_for
from releases.paper import PAPERS
from releases.table_document import tables_pdf
from releases.table_layout import on_screen
from releases.tables import measurement_tables


@require_safe
def tables(request: HttpRequest, ref: str) -> HttpResponse:
    found = version_for(request, ref)
    made = measurement_tables(found)
    context = {"version": found, "pattern": found.pattern, "tables": made, "sheet": on_screen(made)}
    return render(request, "releases/measurement_tables.html", context)


@require_safe
def tables_document(request: HttpRequest, ref: str) -> HttpResponse:
    """The PDF, on A4 unless `?paper=letter` asks otherwise."""
    found = version_for(request, ref)
    asked = request.GET.get("paper", "")
    paper = PAPERS.get(asked, PAPERS["a4"])
    response = HttpResponse(tables_pdf(found, paper), content_type="application/pdf")
    name = get_valid_filename(f"{found.pattern.name} {found.number} measurements {paper.key}.pdf").lower()
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response

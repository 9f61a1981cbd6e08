"""Reading charts: the list, a chart as it stands, its history, and the chart as a file."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.paginator import Paginator
from django.db.models import Count, OuterRef, Subquery
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from measurements.access import chart_for
from measurements.body_measures import BODY_MEASURES
from measurements.chart_csv import chart_csv
from measurements.chart_export import both_units_csv
from measurements.chart_history import Entry, entries
from measurements.chart_page import page_rows
from measurements.chart_store import load_table
from measurements.chart_workbook import chart_workbook
from measurements.finished_measures import FINISHED_MEASURES
from measurements.grade_page import places_found
from measurements.grade_store import chart_view
from measurements.length_display import LengthStyle
from measurements.measures import Catalogue
from measurements.models import ChartAbout, ChartRevision, SizeChart
from measurements.working_store import edit_count
from people.access import studio_for


def catalogue_of(chart: SizeChart) -> Catalogue:
    return BODY_MEASURES if chart.about == ChartAbout.BODY else FINISHED_MEASURES


def style_of(chart: SizeChart) -> LengthStyle:
    """How the chart shows its lengths."""
    return LengthStyle(chart.inch_parts, Decimal(chart.cm_step))


@require_safe
def listing(request: HttpRequest, ref: str) -> HttpResponse:
    """The studio's charts of body measurements, and those of finished garments."""
    studio = studio_for(request, ref)
    newest = ChartRevision.objects.filter(chart=OuterRef("pk")).order_by("-number").values("pk")[:1]
    charts = list(studio.charts.annotate(newest=Subquery(newest)))
    revisions = {
        revision.pk: revision
        for revision in ChartRevision.objects.filter(pk__in=[chart.newest for chart in charts])
        .select_related("by")
        .prefetch_related("sizes")
        .annotate(rows_count=Count("rows"))
    }
    lines = [
        (chart, found, [size.label for size in found.sizes.all()])
        for chart in charts
        if (found := revisions.get(chart.newest))
    ]
    context = {
        "body": [line for line in lines if line[0].about == ChartAbout.BODY],
        "finished": [line for line in lines if line[0].about == ChartAbout.FINISHED],
    }
    return render(request, "measurements/charts.html", context)


@require_safe
def latest(request: HttpRequest, ref: str) -> HttpResponse:
    """The chart as it stands now."""
    chart = chart_for(request, ref)
    return _chart_page(request, chart, newest_revision(chart), is_latest=True)


@require_safe
def revision(request: HttpRequest, ref: str, number: int) -> HttpResponse:
    """The chart as it stood."""
    chart = chart_for(request, ref)
    found = get_object_or_404(chart.revisions.select_related("by"), number=number)
    return _chart_page(request, chart, found, is_latest=found.pk == newest_revision(chart).pk)


def newest_revision(chart: SizeChart) -> ChartRevision:
    """The chart as it stands now, or 404."""
    found = chart.revisions.select_related("by").order_by("-number").first()
    if found is None:
        raise Http404
    return found


def _chart_page(request: HttpRequest, chart: SizeChart, found: ChartRevision, *, is_latest: bool) -> HttpResponse:
    entry = _entry(chart, found)
    grade = chart_view(chart, found, may_edit=False)[0] if is_latest else None
    places = places_found(entry.table, grade.numbered_for(chart.about)) if grade else {}
    rows = page_rows(entry.table, catalogue_of(chart), None if is_latest else entry.changed, places)
    context = {
        **chart_context(chart),
        "revision": found,
        "is_latest": is_latest,
        "edits_open": edit_count(chart) if is_latest else 0,
        "table": entry.table,
        "changed": entry.changed,
        "rows": rows,
        "grade": grade,
        "own": [row.label for row in rows if row.measure is None],
    }
    return render(request, "measurements/chart.html", context)


def _entry(chart: SizeChart, found: ChartRevision) -> Entry:
    """The revision beside the one before it."""
    return entries(list(chart.revisions.filter(number__lte=found.number).select_related("by")[:2]))[0]


def chart_context(chart: SizeChart) -> dict[str, Any]:
    return {"chart": chart, "style": style_of(chart), "cm_step": Decimal(chart.cm_step), "inch_parts": chart.inch_parts}


@require_safe
def history(request: HttpRequest, ref: str) -> HttpResponse:
    """Every revision: who, when, the note, and which cells it changed."""
    chart = chart_for(request, ref)
    per_page = settings.CHART_HISTORY_PAGE
    page = Paginator(chart.revisions.select_related("by"), per_page).get_page(request.GET.get("page"))
    shown = list(page.object_list)
    oldest = shown[-1].number if shown else 0
    older = list(chart.revisions.filter(number__lt=oldest)[:1])
    context = {
        **chart_context(chart),
        "entries": entries([*shown, *older])[: len(shown)],
        "page": page,
        "most_cells": settings.CHART_HISTORY_CELLS,
    }
    return render(request, "measurements/chart_history.html", context)


@require_safe
def download(request: HttpRequest, ref: str, number: int, unit: str) -> HttpResponse:
    """A revision as CSV: in centimetres, in inches, or in both."""
    chart = chart_for(request, ref)
    found = get_object_or_404(chart.revisions, number=number)
    if unit not in {"cm", "in", "both"}:
        raise Http404
    table = load_table(found)
    text = both_units_csv(table, chart.unit, catalogue_of(chart)) if unit == "both" else chart_csv(table, unit)
    # Spreadsheets read a CSV file as UTF-8 only when it begins with this mark.
    return _file("\ufeff" + text, "text/csv; charset=utf-8", f"{_stem(found)}-{unit}.csv")


@require_safe
def workbook(request: HttpRequest, ref: str, number: int) -> HttpResponse:
    """A revision as XLSX, in both units."""
    chart = chart_for(request, ref)
    found = get_object_or_404(chart.revisions, number=number)
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    return _file(chart_workbook(load_table(found), chart.unit, catalogue_of(chart)), kind, f"{_stem(found)}.xlsx")


def _stem(revision: ChartRevision) -> str:
    return f"{slugify(revision.chart.name) or 'chart'}-{revision.number}"


def _file(content: str | bytes, kind: str, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(content, content_type=kind, headers=headers)

"""Making a chart: paste it, bring a file, or type it; then look at how it was read; then save."""

from __future__ import annotations

from typing import Any

from django import forms as django_forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from measurements.actions import make_chart
from measurements.body_measures import BODY_MEASURES
from measurements.chart_draft import ChartDraft
from measurements.chart_grid import ChartGrid, grid_of_draft
from measurements.desk import Desk, desk_from_post
from measurements.forms import (
    FileForm,
    NewChartForm,
    PasteForm,
    StartForm,
    chart_limits,
    refusal_of,
    unit_of,
)
from measurements.length_display import LengthStyle, style_that_keeps
from measurements.models import ChartAbout
from people.access import EDITORS, signed_in, studio_for
from people.models import Studio

WAYS: dict[str, type[django_forms.Form]] = {"paste": PasteForm, "file": FileForm, "type": StartForm}


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest, ref: str) -> HttpResponse:
    """The three ways to bring a chart; whatever comes is shown before it is saved."""
    studio = studio_for(request, ref, EDITORS)
    units = signed_in(request).units
    forms = {way: form(prefix=way, initial={"unit": units} if way == "type" else None) for way, form in WAYS.items()}
    way = request.POST.get("way", "")
    if request.method == "POST" and way in WAYS:
        forms[way] = WAYS[way](request.POST, request.FILES, prefix=way)
        if forms[way].is_valid():
            desk, name = _desk_of(forms[way])
            if desk:
                return _check_page(request, studio, desk, {"name": name, "unit": desk.grid.unit})
    return render(request, "measurements/chart_new.html", {"forms": forms, "way": way})


def _desk_of(form: Any) -> tuple[Desk | None, str]:
    """What a way brought, and a name for it; None where there was no chart in it, with the sentence beside it."""
    if isinstance(form, StartForm):
        return _desk(form.grid()), ""
    draft: ChartDraft = form.draft()
    if draft.refusal:
        form.add_error("text" if isinstance(form, PasteForm) else "file", refusal_of(draft))
        return None, ""
    desk = _desk(grid_of_draft(draft))
    desk.said = draft.doubts
    return desk, form.suggested_name()


def _desk(grid: ChartGrid) -> Desk:
    return Desk(grid, BODY_MEASURES, chart_limits())


@require_http_methods(["GET", "HEAD", "POST"])
def check(request: HttpRequest, ref: str) -> HttpResponse:
    """How the chart was read, cell by cell: correct it, read it again, save it."""
    studio = studio_for(request, ref, EDITORS)
    if request.method != "POST":
        return redirect("chart_new", studio.ref)
    desk = desk_from_post(
        request.POST, unit=unit_of(request.POST.get("unit")), catalogue=BODY_MEASURES, limits=chart_limits()
    )
    if request.POST.get("do") != "save":
        return _check_page(request, studio, desk, request.POST)
    if request.POST.get("leave_empty"):
        desk = desk.left_empty()
    form = NewChartForm(request.POST, sizes=desk.grid.sizes)
    if not form.is_valid() or not may_save(desk, bool(request.POST.get("looked"))):
        return _check_page(request, studio, desk, request.POST, form)
    said = form.cleaned_data
    chart = make_chart(
        studio=studio,
        name=said["name"],
        table=desk.table(),
        unit="in" if desk.grid.unit == "in" else "cm",
        cm_step=said["cm_step"],
        inch_parts=said["inch_parts"],
        about=ChartAbout.BODY,
        by=signed_in(request),
    )
    messages.success(request, _("%(name)s is saved.") % {"name": chart.name})
    return redirect("chart", chart.ref)


def may_save(desk: Desk, looked: bool) -> bool:
    """Nothing unreadable, and every doubt either none or shown before and looked at."""
    if desk.draft.obstacles or not desk.grid.sizes or not desk.grid.rows:
        return False
    return not desk.marks or (looked and not desk.fresh)


def _check_page(
    request: HttpRequest, studio: Studio, desk: Desk, said: Any, form: NewChartForm | None = None
) -> HttpResponse:
    style = _style(desk)
    initial = {
        "name": said.get("name", ""),
        "unit": desk.grid.unit,
        "base": desk.grid.base,
        "cm_step": said.get("cm_step") or str(style.cm_step),
        "inch_parts": said.get("inch_parts") or style.inch_denominator,
    }
    context = {
        "desk": desk,
        "sheet": desk.sheet,
        "form": form or NewChartForm(initial=initial, sizes=desk.grid.sizes),
        "style": style,
        "tried": form is not None,
        "measures": unused_measures(desk),
    }
    return render(request, "measurements/chart_check.html", context)


def _style(desk: Desk) -> LengthStyle:
    """The coarsest rounding that shows what was typed to the digit."""
    lengths = [cell.length for row in desk.draft.rows for cell in row.cells if cell.length]
    return style_that_keeps(
        [length.mm for length in lengths if length.unit != "in"],
        [length.mm for length in lengths if length.unit == "in"],
    )


def unused_measures(desk: Desk) -> list[str]:
    """Names of measurements that the chart does not have yet."""
    used = {row.key for row in desk.draft.rows}
    return [_(measure.name) for measure in desk.catalogue if measure.key not in used]

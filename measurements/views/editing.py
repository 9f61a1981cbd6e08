"""Editing a chart: the next revision is written, and what others saved meanwhile is kept."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from measurements.access import chart_for
from measurements.actions import ChartConflictError, ChartSaved, describe_chart, edit_chart
from measurements.chart_grid import Opened, open_chart
from measurements.chart_store import load_table
from measurements.desk import Desk, desk_from_post
from measurements.forms import EditChartForm, chart_limits, unit_of
from measurements.models import ChartRevision, SizeChart
from measurements.views.charts import catalogue_of, chart_context
from measurements.views.making import may_save, unused_measures
from measurements.working_store import edit_count
from people.access import EDITORS, signed_in


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, ref: str) -> HttpResponse:
    """The chart as a grid to type in."""
    chart = chart_for(request, ref, EDITORS)
    revision = _opened_revision(request, chart)
    opened = open_chart(load_table(revision), unit_of(chart.unit))
    if request.method != "POST":
        return _page(request, chart, revision, _desk(chart, opened))
    desk = desk_from_post(
        request.POST, unit=unit_of(chart.unit), catalogue=catalogue_of(chart), limits=chart_limits(), opened=opened
    )
    if request.POST.get("do") != "save":
        return _page(request, chart, revision, desk)
    if request.POST.get("leave_empty"):
        desk = desk.left_empty()
    form = EditChartForm(request.POST, sizes=desk.grid.sizes)
    if not form.is_valid() or not may_save(desk, bool(request.POST.get("looked"))):
        return _page(request, chart, revision, desk, form)
    return _save(request, chart, revision, desk, form)


def _opened_revision(request: HttpRequest, chart: SizeChart) -> ChartRevision:
    """The revision that the form was opened from; the newest for a fresh form."""
    revisions = chart.revisions.select_related("by").order_by("-number")
    if request.method == "POST":
        number = request.POST.get("opened", "")
        return get_object_or_404(revisions, number=int(number) if number.isdecimal() and len(number) < 9 else -1)
    return get_object_or_404(revisions[:1])


def _desk(chart: SizeChart, opened: Opened, **more: Any) -> Desk:
    return Desk(opened.grid, catalogue_of(chart), chart_limits(), opened, **more)


def _save(
    request: HttpRequest, chart: SizeChart, revision: ChartRevision, desk: Desk, form: EditChartForm
) -> HttpResponse:
    by, said = signed_in(request), form.cleaned_data
    try:
        saved = edit_chart(chart=chart, table=desk.table(), opened=revision, by=by, note=said["note"])
    except ChartConflictError as conflict:
        return _conflict_page(request, chart, conflict)
    described = describe_chart(
        chart=chart, by=by, name=said["name"], cm_step=said["cm_step"], inch_parts=said["inch_parts"]
    )
    say_saved(request, saved, described)
    return redirect("chart", chart.ref)


def say_saved(request: HttpRequest, saved: ChartSaved | None, described: bool) -> None:
    if saved is None or saved.revision is None:
        sentence = _("Saved.") if described else _("Nothing had changed, so nothing was saved.")
    elif saved.together_with is None:
        sentence = _("Saved as revision %(number)s.") % {"number": saved.revision.number}
    else:
        sentence = _("Saved as revision %(number)s, together with what %(who)s saved meanwhile.") % {
            "number": saved.revision.number,
            "who": _who(saved.together_with),
        }
    messages.success(request, sentence)


def _who(revision: ChartRevision) -> str:
    return str(revision.by) if revision.by else _("someone")


def _conflict_page(request: HttpRequest, chart: SizeChart, conflict: ChartConflictError) -> HttpResponse:
    """Both people's changes together, with one's own text where they differ; the next save is made from there."""
    opened = open_chart(load_table(conflict.latest), unit_of(chart.unit))
    merged = open_chart(conflict.merged.table, unit_of(chart.unit))
    desk = Desk(
        merged.grid,
        catalogue_of(chart),
        chart_limits(),
        opened,
        conflicts=conflict.merged.conflicts,
        conflicts_with=_who(conflict.latest),
    )
    count = len(conflict.merged.conflicts)
    sentence = ngettext(
        "%(who)s changed %(count)d cell that you changed too. Nothing is saved yet: both values stand below.",
        "%(who)s changed %(count)d cells that you changed too. Nothing is saved yet: both values stand below.",
        count,
    ) % {"who": _who(conflict.latest), "count": count}
    messages.error(request, sentence)
    return _page(request, chart, conflict.latest, desk)


def _page(
    request: HttpRequest, chart: SizeChart, revision: ChartRevision, desk: Desk, form: EditChartForm | None = None
) -> HttpResponse:
    said: Any = request.POST
    initial = {
        "name": said.get("name", chart.name),
        "base": desk.grid.base,
        "cm_step": said.get("cm_step", str(chart.cm_step)),
        "inch_parts": said.get("inch_parts", chart.inch_parts),
        "note": said.get("note", ""),
    }
    context = {
        **chart_context(chart),
        "revision": revision,
        "desk": desk,
        "sheet": desk.sheet,
        "form": form or EditChartForm(initial=initial, sizes=desk.grid.sizes),
        "tried": form is not None,
        "measures": unused_measures(desk),
        "edits_open": edit_count(chart),
    }
    return render(request, "measurements/chart_edit.html", context)

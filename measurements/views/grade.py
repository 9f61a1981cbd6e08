"""The grade check of a chart: what it found, in place; proposals taken, findings silenced, breaks declared."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from measurements.access import chart_for
from measurements.actions import ChartConflictError
from measurements.grade_actions import declare_breaks, hear_finding, silence_finding, take_proposal
from measurements.grade_forms import ReasonForm
from measurements.grade_store import GradeView, Looked, chart_view
from measurements.grade_types import FINE_CM
from measurements.length_display import LengthStyle
from measurements.models import ChartAbout, ChartRevision, SizeChart
from measurements.views.charts import chart_context, newest_revision
from people.access import EDITORS, EVERY_ROLE, signed_in


@require_http_methods(["GET", "HEAD", "POST"])
def chart_grade(request: HttpRequest, ref: str) -> HttpResponse:
    """The findings; `do` is take, silence, hear or breaks."""
    chart = chart_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    revision = newest_revision(chart)
    view, rows = chart_view(chart, revision, may_edit=request.membership.role in EDITORS)
    context = {**chart_context(chart), "revision": revision, "view": view, "rows": rows, **finding_context(revision)}
    if request.method == "POST":
        done = _do(request, chart, revision, view)
        if isinstance(done, ReasonForm):
            context |= {"reason": done, "reason_of": request.POST.get("finding", "")}
            return render(request, "measurements/chart_grade.html", context, status=422)
        return redirect("chart_grade", chart.ref)
    return render(request, "measurements/chart_grade.html", context)


def finding_context(revision: ChartRevision | None) -> dict[str, Any]:
    """What the findings and the table beside them need: sizes, base, a style fine enough for steps and ease."""
    sizes = list(revision.sizes.all()) if revision else []
    return {
        "sizes": [size.label for size in sizes],
        "base": next((size.label for size in sizes if size.is_base), ""),
        "fine": LengthStyle(16, FINE_CM),
        "reason": ReasonForm(),
        "reason_of": "",
    }


def _do(request: HttpRequest, chart: SizeChart, revision: ChartRevision, view: GradeView) -> ReasonForm | None:
    """Do what the button says; a form where its words were missing."""
    do = request.POST.get("do", "")
    if do == "breaks" and chart.about == ChartAbout.BODY:
        _declare(request, chart, revision)
        return None
    looked = view.find(request.POST.get("finding", ""))
    if looked is None:
        messages.info(request, GONE)
        return None
    if do == "take":
        _take(request, chart, revision, looked)
        return None
    return keep_or_hear(request, chart, looked)


GONE = gettext_lazy("The chart has changed meanwhile: that finding does not stand any more.")


def _take(request: HttpRequest, chart: SizeChart, revision: ChartRevision, looked: Looked) -> None:
    if not looked.can_take or request.POST.get("shown") != looked.shown:
        messages.info(request, _("The chart has changed meanwhile, and so has the proposal. Look at it again."))
        return
    try:
        saved = take_proposal(chart=chart, revision=revision, finding=looked.finding, by=signed_in(request))
    except ChartConflictError:
        messages.error(request, _("Somebody changed the chart in this very moment. Look at it again, then go on."))
        return
    if saved.revision:
        messages.success(request, _("Taken: the chart is now revision %(number)s.") % {"number": saved.revision.number})


def _declare(request: HttpRequest, chart: SizeChart, revision: ChartRevision) -> None:
    measure, sizes = request.POST.get("measure", ""), request.POST.getlist("sizes")
    try:
        saved = declare_breaks(chart=chart, revision=revision, measure=measure, sizes=sizes, by=signed_in(request))
    except ChartConflictError:
        messages.error(request, _("Somebody changed the chart in this very moment. Look at it again, then go on."))
        return
    messages.success(request, _("The breaks are declared.") if saved.revision else _("Nothing had changed."))


def keep_or_hear(request: HttpRequest, chart: SizeChart, looked: Looked) -> ReasonForm | None:
    """Silence a finding with the reason that was typed, or let a silenced one speak again."""
    do = request.POST.get("do")
    if do == "hear" and looked.silenced:
        hear_finding(silenced=looked.silenced, by=signed_in(request))
        messages.success(request, _("The finding is open again."))
    elif do == "silence":
        form = ReasonForm(request.POST)
        if not form.is_valid():
            return form
        silence_finding(chart=chart, finding=looked.finding, reason=form.cleaned_data["reason"], by=signed_in(request))
        messages.success(request, _("The finding is silenced; the reason stays on record."))
    return None

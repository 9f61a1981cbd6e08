"""The grid in which a chart is edited: cell by cell, by several people at once, saved as they type."""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from measurements.access import chart_for
from measurements.actions import describe_chart
from measurements.desk import Desk
from measurements.forms import SaveCopyForm, chart_limits, unit_of
from measurements.models import SizeChart
from measurements.translated import in_words
from measurements.views.charts import catalogue_of, chart_context, style_of
from measurements.views.editing import say_saved
from measurements.views.making import may_save, unused_measures
from measurements.working_actions import (
    CellEdit,
    CopyMovedError,
    catch_up,
    choose,
    drop_copy,
    edit_cells,
    reshape,
    save_copy,
)
from measurements.working_answer import Known, answer, ending
from measurements.working_shape import ShapeError, change_from_json, gone
from measurements.working_store import Working, working
from people.access import EDITORS, signed_in


@require_http_methods(["GET", "HEAD", "POST"])
def grid(request: HttpRequest, ref: str) -> HttpResponse:
    """The chart as a grid; the form under it saves the copy as a revision, or closes it without one."""
    chart = chart_for(request, ref, EDITORS)
    if request.method != "POST":
        now = _now(chart)
        return _page(request, now, _desk(now))
    if request.POST.get("do") == "drop":
        return _drop(request, chart)
    catch_up(chart=chart, by=signed_in(request))
    now = _now(chart)
    desk = _desk(now, seen=frozenset(request.POST.get("seen", "").split()))
    if request.POST.get("leave_empty"):
        desk = desk.left_empty()
    form = SaveCopyForm(request.POST)
    if not form.is_valid() or now.held or not may_save(desk, bool(request.POST.get("looked"))):
        return _page(request, now, desk, form)
    return _save(request, now, desk, form)


def _now(chart: SizeChart) -> Working:
    now = working(chart)
    if now is None:
        raise Http404
    return now


def _desk(now: Working, **more: Any) -> Desk:
    chart = now.chart
    return Desk(now.state.grid(unit_of(chart.unit)), catalogue_of(chart), chart_limits(), now.opened, **more)


def _save(request: HttpRequest, now: Working, desk: Desk, form: SaveCopyForm) -> HttpResponse:
    chart, by, said = now.chart, signed_in(request), form.cleaned_data
    saved = None
    if now.copy:
        table = now.state.with_breaks(desk.table())
        try:
            saved = save_copy(chart=chart, table=table, ref=now.ref, seq=now.seq, by=by, note=said["note"])
        except CopyMovedError:
            return _moved(request, chart)
    described = describe_chart(
        chart=chart, by=by, name=said["name"], cm_step=said["cm_step"], inch_parts=said["inch_parts"]
    )
    say_saved(request, saved, described)
    return redirect("chart", chart.ref)


def _drop(request: HttpRequest, chart: SizeChart) -> HttpResponse:
    seq = request.POST.get("seq", "")
    try:
        drop_copy(
            chart=chart,
            ref=request.POST.get("copy", ""),
            seq=int(seq) if seq.isdecimal() and len(seq) < 9 else -1,
            by=signed_in(request),
        )
    except CopyMovedError:
        return _moved(request, chart)
    messages.success(request, _("The changes are taken back. The chart stands as it did in its last revision."))
    return redirect("chart", chart.ref)


def _moved(request: HttpRequest, chart: SizeChart) -> HttpResponse:
    messages.error(request, _("Somebody changed the chart in this very moment. Look at it again, then go on."))
    return redirect("chart_grid", chart.ref)


def _page(request: HttpRequest, now: Working, desk: Desk, form: SaveCopyForm | None = None) -> HttpResponse:
    chart = now.chart
    initial = {"name": chart.name, "cm_step": str(chart.cm_step), "inch_parts": chart.inch_parts}
    context = {
        **chart_context(chart),
        "now": now,
        "desk": desk,
        "sheet": desk.sheet,
        "form": form or SaveCopyForm(initial=initial),
        "tried": form is not None,
        "measures": unused_measures(desk),
        "data": answer(now, desk, style_of(chart), signed_in(request)),
        "poll": settings.CHART_POLL_SECONDS,
    }
    return render(request, "measurements/chart_working.html", context)


@require_safe
def since(request: HttpRequest, ref: str) -> HttpResponse:
    """What came after the change that the page has seen; 204 where nothing did."""
    chart = chart_for(request, ref, EDITORS)
    now = _now(chart)
    seen = (request.GET.get("copy", ""), request.GET.get("seq", ""), request.GET.get("revision", ""))
    if seen == (now.ref, str(now.seq), str(now.revision.number)):
        return HttpResponse(status=204)
    known = Known(request.GET.get("shape", ""), request.GET.get("rows", ""))
    return _told(request, now, known, was=seen[0])


@require_POST
def cells(request: HttpRequest, ref: str) -> HttpResponse:
    """Store texts of cells, a choice between two, or a change of shape; answers with what the page has not seen."""
    chart = chart_for(request, ref, EDITORS)
    sent = _sent(request.POST.get("edit", ""))
    if sent is None:
        return JsonResponse({"error": _("This could not be understood. Load the page again.")}, status=400)
    extra = _do(request, chart, sent)
    known = Known(_text(sent, "shape"), _text(sent, "rows"))
    return _told(request, _now(chart), known, was=_text(sent, "copy"), **extra)


def _do(request: HttpRequest, chart: SizeChart, sent: dict[str, Any]) -> dict[str, Any]:
    """Carry out what was sent; what the page is told of it beside the chart."""
    by, limits = signed_in(request), chart_limits()
    if edits := _cell_edits(sent.get("cells"), limits.most_sizes * limits.most_rows):
        lost = edit_cells(chart=chart, cells=edits, by=by)
        return {"lost": [[*edit.place, edit.text] for edit in lost], "refused": in_words(gone()) if lost else ""}
    if isinstance(wait := sent.get("choose"), list) and len(wait) == 2 and _is_number(wait[0]):
        choose(chart=chart, seq=wait[0], take=bool(wait[1]), by=by)
        return {}
    if isinstance(sent.get("change"), dict) and (change := change_from_json(sent["change"], limits)):
        try:
            back = reshape(chart=chart, change=change, catalogue=catalogue_of(chart), limits=limits, by=by)
        except ShapeError as error:
            return {"refused": in_words(error.sentence)}
        return {"back": back.as_json()}
    return {}


def _told(request: HttpRequest, now: Working, known: Known, *, was: str, **extra: Any) -> HttpResponse:
    told = answer(now, _desk(now), style_of(now.chart), signed_in(request), known)
    if was != now.ref and (said := ending(now.chart, was)):
        told["ending"] = said
    return JsonResponse({**told, **extra})


def _sent(text: str) -> dict[str, Any] | None:
    try:
        sent = json.loads(text)
        # Half a character cannot be stored.
        json.dumps(sent, ensure_ascii=False).encode()
    except (ValueError, RecursionError):
        return None
    return sent if isinstance(sent, dict) else None


def _text(sent: dict[str, Any], name: str) -> str:
    return sent[name] if isinstance(sent.get(name), str) else ""


def _cell_edits(sent: Any, most: int) -> list[CellEdit]:
    """The edits that are whole; no more than a chart has cells."""
    if not isinstance(sent, list):
        return []
    whole = (one for one in sent[:most] if isinstance(one, list) and len(one) == 4 and all(map(_is_text, one)))
    return [CellEdit((row, size), text, was) for row, size, text, was in whole]


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def _is_number(value: Any) -> bool:
    return isinstance(value, int) and 0 < value < 2**31

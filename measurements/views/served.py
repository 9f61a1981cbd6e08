"""Whom a size chart serves: a sample of bodies held against its sizes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from measurements.access import chart_for, sample_for
from measurements.body_measures import BODY_MEASURES
from measurements.body_sample import Sample
from measurements.chart_store import load_table
from measurements.charts import ChartTable
from measurements.models import ChartAbout, SizeChart
from measurements.sample_actions import keep_sample, loaded, remove_sample
from measurements.sample_forms import SampleForm
from measurements.sample_sources import sample_sources
from measurements.served_plot import ServedPlot, served_plot
from measurements.translated import in_words
from measurements.views.charts import chart_context
from measurements.who_is_served import (
    LEAST_BODIES,
    REACH_MM,
    Gap,
    Served,
    compared,
    who_is_served,
    whole_bodies,
)
from people.access import EDITORS, EVERY_ROLE, signed_in
from people.models import Studio

# More marks would lie over one another: of a larger sample every second, third ... body is drawn.
MOST_DRAWN = 1500


@dataclass(frozen=True)
class Choice:
    """One sample to hold the chart against; `ref` is empty for a sample that is made anew each time."""

    key: str
    name: str
    size: int
    load: Callable[[], Sample]
    source: str = ""
    ref: str = ""


@require_http_methods(["GET", "HEAD", "POST"])
def served(request: HttpRequest, ref: str) -> HttpResponse:
    """The share in range, gaps, sizes; and the form that brings a sample."""
    chart = chart_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    if chart.about != ChartAbout.BODY:
        raise Http404
    form = SampleForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        return _kept(request, chart, form)
    return _page(request, chart, form)


def _kept(request: HttpRequest, chart: SizeChart, form: SampleForm) -> HttpResponse:
    if chart.studio.body_samples.count() >= settings.BODY_SAMPLES:
        form.add_error(None, _("A studio keeps %(most)s samples. Remove one first.") % {"most": settings.BODY_SAMPLES})
        return _page(request, chart, form)
    said = form.cleaned_data
    sample = keep_sample(
        studio=chart.studio, name=said["name"], source=said["source"], columns=form.read.columns, by=signed_in(request)
    )
    for note in form.read.notes:
        messages.info(request, in_words(note))
    return redirect(f"{reverse('chart_served', args=[chart.ref])}?sample={sample.ref}")


def _page(request: HttpRequest, chart: SizeChart, form: SampleForm) -> HttpResponse:
    revision = chart.latest()
    if revision is None:
        raise Http404
    choices = _choices(chart.studio)
    wanted = request.GET.get("sample")
    chosen = next((one for one in choices if one.key == wanted), choices[0] if choices else None)
    context = {
        **chart_context(chart),
        "revision": revision,
        "form": form,
        "choices": choices,
        "chosen": chosen,
        "least": LEAST_BODIES,
        "reach_mm": REACH_MM,
        **(_evidence(load_table(revision), chosen.load()) if chosen else {}),
    }
    return render(request, "measurements/chart_served.html", context, status=422 if form.errors else 200)


def _choices(studio: Studio) -> list[Choice]:
    """The studio's uploads, then what later apps give; a source that has nobody yet comes along to say so."""
    kept = studio.body_samples.all()
    uploads = [Choice(one.ref, one.name, one.bodies, partial(loaded, one), one.source, one.ref) for one in kept]
    made = ((source.key, source.load(studio)) for source in sample_sources())
    return uploads + [Choice(key, sample.name, sample.size, partial(_same, sample)) for key, sample in made]


def _same(sample: Sample) -> Sample:
    return sample


def _evidence(table: ChartTable, sample: Sample) -> dict[str, Any]:
    """What the chosen sample says; with fewer than the least number of bodies only how many are missing."""
    found = who_is_served(table, sample)
    bodies = found.bodies if found else sample.size
    if found is None or bodies < LEAST_BODIES:
        return {"missing": max(0, LEAST_BODIES - bodies), "bodies": bodies, "nothing_shared": found is None}
    return {
        "served": found,
        "bodies": bodies,
        "names": {key: _(BODY_MEASURES[key].name) for key in found.places},
        "ranges": [(_(BODY_MEASURES[one.key].name), one) for one in found.ranges],
        "sizes": [(one, found.share(one.bodies)) for one in found.sizes],
        "gaps": _gap_rows(found),
        "in_range": found.share(found.in_range),
        "two_sizes": found.share(found.two.needed) if found.two else None,
        "further": found.share(found.two.further) if found.two else None,
        "two_names": [_(BODY_MEASURES[key].name) for key in (found.two.first, found.two.second)] if found.two else [],
        "plots": _plots(table, sample),
        "one_drawn_of": 1 + bodies // MOST_DRAWN,
    }


def _gap_rows(found: Served) -> list[tuple[str, str, list[Gap | None]]]:
    """A row for every two neighbours with a gap between them: lower, upper, and the gap at each measurement."""
    rows: dict[tuple[str, str], dict[str, Gap]] = {}
    for gap in found.gaps:
        rows.setdefault((gap.lower, gap.upper), {})[gap.key] = gap
    return [(lower, upper, [gaps.get(key) for key in found.places]) for (lower, upper), gaps in rows.items()]


def _plots(table: ChartTable, sample: Sample) -> list[tuple[str, ServedPlot]]:
    """The drawing for a wide page and for a phone; none where chart and sample share one measurement only."""
    scales = compared(table, sample)
    if len(scales) < 2:
        return []
    first, last = scales[0], scales[-1]
    whole = whole_bodies(scales, sample)
    bodies = [(body[0], body[-1]) for body in whole[:: 1 + len(whole) // MOST_DRAWN]]
    return [
        ("only-wide", served_plot(first, last, bodies, 760, 520)),
        ("only-slim", served_plot(first, last, bodies, 358, 380)),
    ]


@require_POST
def sample_remove(request: HttpRequest, ref: str) -> HttpResponse:
    """Remove a sample, and go back to the chart that it was looked at from."""
    sample = sample_for(request, ref, EDITORS)
    studio = sample.studio
    remove_sample(sample=sample, by=signed_in(request))
    messages.success(request, _("The sample is removed, with all its measurements."))
    chart = studio.charts.filter(ref=request.POST.get("chart", "")).first()
    return redirect("chart_served", chart.ref) if chart else redirect("charts", studio.ref)

"""Gatekeepers of charts: the thing, or 404 to a stranger."""

from __future__ import annotations

from django.http import Http404, HttpRequest

from measurements.models import BodySample, SizeChart
from people.access import EVERY_ROLE, membership_for


def chart_for(request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE) -> SizeChart:
    """The chart of that ref, for its studio's people in one of the roles."""
    chart = SizeChart.objects.select_related("studio").filter(ref=ref).first()
    if chart is None:
        raise Http404
    membership_for(request, chart.studio, roles)
    return chart


def sample_for(request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE) -> BodySample:
    """The sample of bodies of that ref, for its studio's people in one of the roles."""
    sample = BodySample.objects.select_related("studio").filter(ref=ref).first()
    if sample is None:
        raise Http404
    membership_for(request, sample.studio, roles)
    return sample

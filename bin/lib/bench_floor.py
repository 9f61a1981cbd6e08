"""The floor that pages are measured against: someone signed in, one grouped query, a bare table of zones by sizes."""

from __future__ import annotations

import functools
from typing import Any

from django.contrib.auth.decorators import login_required
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import include, path
from django.views.decorators.http import require_safe

from testing_rounds.models import Round, ZoneVerdict

PAGE = """<!doctype html><html lang="en"><title>{{ title }}</title><h1>{{ title }}</h1><p>{{ request.user.name }}</p>
<table>{% for zone, cells in rows %}<tr><th scope="row">{{ zone }}</th>{% for cell in cells %}
<td class="{% if cell.small > 1 %}small{% elif cell.large > 1 %}large{% else %}fits{% endif %}">{% if cell.small %}
{{ cell.small }} of {{ cell.answers }} small{% elif cell.large %}{{ cell.large }} of {{ cell.answers }} large{% else %}
{{ cell.answers }}{% endif %}</td>{% endfor %}</tr>{% endfor %}</table></html>"""


@functools.cache
def _page() -> Any:
    """The template, read once, as the app's own are."""
    return engines["django"].from_string(PAGE)


@require_safe
@login_required
def floor(request: HttpRequest, ref: str) -> HttpResponse:
    """What any page of that size costs in this framework."""
    found = Round.objects.select_related("version").get(ref=ref)
    counted = (
        ZoneVerdict.objects.filter(report__place__round=found, report__submitted_at__isnull=False)
        .values("zone", "report__size")
        .annotate(answers=Count("pk"), small=Count("pk", filter=Q(fit__lt=0)), large=Count("pk", filter=Q(fit__gt=0)))
    )
    cells: dict[tuple[str, str], Any] = {(row["zone"], row["report__size"]): row for row in counted}
    zones = [zone["key"] for zone in found.zones]
    rows = [(zone, [cells.get((zone, size), {}) for size in found.version.sizes]) for zone in zones]
    return HttpResponse(_page().render({"title": found.name, "rows": rows}, request))


urlpatterns = [path("floor/<str:ref>/", floor), path("", include("config.urls"))]

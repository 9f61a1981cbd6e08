"""Where the toile fits and where it does not: the form, and the question on one zone."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from testing_rounds.actions.reports import closed_because
from testing_rounds.models import Place
from testing_rounds.tester_book import Book
from testing_rounds.tester_context import frame
from testing_rounds.tester_forms import Page
from testing_rounds.tester_zones import fit_page, question, rest_field
from testing_rounds.views.tester_common import for_tester, save_sheet, show_sheet


@require_http_methods(["GET", "HEAD", "POST"])
@for_tester
def fit(request: HttpRequest, place: Place, zone: str = "") -> HttpResponse:
    """The dress form with what is marked; with a zone, its question below the form."""
    if zone and zone not in [entry["key"] for entry in place.round.zones]:
        raise Http404
    side = request.GET.get("side", "")
    at = " ".join(word for word in (zone, side) if word in {zone, "front", "back"}).strip()
    if request.method == "POST":
        here = reverse("test_zone", args=[place.visit, zone]) + "#question" if zone else ""
        return save_sheet(request, place, "fit", at=at, here=here)
    if request.GET.get("questions") == "all":
        return _questions(request, place)
    if request.htmx:
        return _parts(request, place, at)
    return show_sheet(request, place, "fit", at=at)


def _questions(request: HttpRequest, place: Place) -> HttpResponse:
    """The question on every zone, for a phone that loses its line while it shows the form."""
    book = Book(place)
    if not place.adult_at:
        raise Http404
    page, closed = Page(book), closed_because(place)
    context = {"place": place, "book": book, "closed": closed, "rest": rest_field(page)}
    zones = [question(page, zone) for zone in book.zone_keys]
    html = "".join(render_to_string("tester/fit.html#question", {**context, **one}, request) for one in zones)
    return HttpResponse(html)


def _parts(request: HttpRequest, place: Place, at: str) -> HttpResponse:
    """What a tap changes on the page: the form and the question, nothing else."""
    book = Book(place)
    context = {**frame(book, "fit"), **fit_page(Page(book), at), "at": at}
    parts = ("question", "live_form") if context["zone"] else ("live_form",)
    html = "".join(render_to_string(f"tester/fit.html#{part}", context, request) for part in parts)
    return HttpResponse(html, headers={"X-At": at})

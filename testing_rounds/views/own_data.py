"""A tester's own data: seen, handed out as a file, erased."""

from __future__ import annotations

from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from people import personal_data
from people.access import EDITORS, signed_in
from testing_rounds.access import SESSION_KEY, place_for
from testing_rounds.actions.erasing import erase_tester, places_of
from testing_rounds.models import Place
from testing_rounds.tester_book import Book
from testing_rounds.tester_context import frame
from testing_rounds.views.tester_common import for_tester


@require_safe
@for_tester
def own_data(request: HttpRequest, place: Place) -> HttpResponse:
    """All that is kept about the tester, round by round of this studio."""
    kept = [(one, personal_data.find(one)) for one in places_of(place)]
    return render(request, "tester/own_data.html", {**frame(Book(place)), "kept": kept})


@require_safe
@for_tester
def own_data_file(request: HttpRequest, place: Place) -> HttpResponseBase:
    """The same as a file: JSON, with the photos beside it."""
    return data_file(*places_of(place))


def data_file(*places: Place) -> FileResponse:
    name = f"my-data-{timezone.localdate():%Y-%m-%d}.zip"
    answer = FileResponse(
        personal_data.export(*places), as_attachment=True, filename=name, content_type="application/zip"
    )
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@for_tester
def erase_own(request: HttpRequest, place: Place) -> HttpResponse:
    """Asked once more, then erased: this round, or with it all others of the studio."""
    places = places_of(place)
    if request.method != "POST":
        return render(request, "tester/erase.html", {**frame(Book(place)), "others": places[1:]})
    gone = places if "others" in request.POST else places[:1]
    _leave(request, gone)
    erase_tester(places=gone, by=place)
    return render(request, "tester/erased.html", {"forget": place.ref})


def _leave(request: HttpRequest, places: list[Place]) -> None:
    """This browser forgets its links first: erasing ends every session that still holds one."""
    own = {link.ref for place in places for link in place.links.all()}
    left = [ref for ref in request.session.get(SESSION_KEY, []) if ref not in own]
    if left or request.user.is_authenticated:
        request.session[SESSION_KEY] = left
        request.session.save()
    else:
        request.session.flush()


@require_http_methods(["GET", "HEAD", "POST"])
def erase_place(request: HttpRequest, ref: str) -> HttpResponse:
    """A tester asked the studio to erase what is kept of them."""
    place = place_for(request, ref, EDITORS)
    found = place.round
    if request.method == "POST":
        erase_tester(places=[place], by=signed_in(request))
        return redirect("panel", found.ref)
    context = {"place": place, "round": found, "version": found.version, "pattern": found.version.pattern}
    return render(request, "testing_rounds/place_erase.html", context)

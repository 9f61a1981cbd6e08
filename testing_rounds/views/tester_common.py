"""What the views of testers share: the gatekeeper with its kind answer, and the two ways of saving a page."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from testing_rounds.access import own_place
from testing_rounds.actions.reports import Closed, save_fields
from testing_rounds.models import Place
from testing_rounds.tester_book import Book
from testing_rounds.tester_context import SHEETS, frame
from testing_rounds.tester_fields import tidy
from testing_rounds.tester_forms import NOTHING, Page, Typed
from testing_rounds.tester_pages import after

WAS = "was."


def for_tester(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Let the tester of this place in, with the place in hand; answer everybody else 404, kindly.

    The answer tells the phone to forget what it still keeps of a place whose link has ended.
    """

    @wraps(view)
    def guarded(request: HttpRequest, ref: str, **parts: Any) -> HttpResponseBase:
        try:
            place = own_place(request, ref)
        except Http404:
            return render(request, "tester/gone.html", {"forget": ref}, status=404)
        request.studio = place.round.version.pattern.studio
        return view(request, place, **parts)

    return guarded


def read_again(request: HttpRequest, place: Place) -> Place:
    """The place as it stands after a write."""
    return own_place(request, place.visit)


def changed_fields(sent: QueryDict) -> dict[str, str]:
    """The fields of a whole form that differ from what it showed: a stale tab cannot undo what another one wrote."""
    found = {}
    for key, was in sent.items():
        if key.startswith(WAS):
            name = key.removeprefix(WAS)
            text = sent.get(name, "")
            if tidy(text) != tidy(str(was)):
                found[name] = text
    return found


def show_sheet(request: HttpRequest, place: Place, key: str, *, at: str = "", typed: Typed = NOTHING) -> HttpResponse:
    """A page of fields; first of all a tester says that they are an adult."""
    if not place.adult_at:
        return redirect("test_consents", place.visit)
    sheet, book = SHEETS[key], Book(place)
    if sheet.consent and sheet.consent not in book.consents:
        return redirect("test_consents", place.visit)
    context = {**frame(book, key), **sheet.context(Page(book, typed), at), "at": at}
    return render(request, sheet.template, context, status=422 if typed.refused else 200)


def save_sheet(request: HttpRequest, place: Place, key: str, *, at: str = "", here: str = "") -> HttpResponse:
    """Without JavaScript: save what changed on the page, then go on; or show it again with what is wrong."""
    fields = changed_fields(request.POST)
    stay = here or reverse(f"test_{key}", args=[place.visit])
    try:
        saved = save_fields(place=place, fields=fields, unit=request.POST.get("unit", ""))
    except Closed:
        return redirect(stay)
    place = read_again(request, place)
    if saved.refused:
        return show_sheet(request, place, key, at=at, typed=Typed(fields, saved.refused))
    return redirect(stay if "stay" in request.POST else after(Book(place), key))

"""What the views of testers share: the gatekeeper with its kind answer, and the two ways of saving a page."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from people.languages import read_in
from testing_rounds.access import own_place
from testing_rounds.actions.reports import Closed, save_fields
from testing_rounds.models import Place
from testing_rounds.tester_book import Book
from testing_rounds.tester_context import KEPT, SHEETS, frame
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
        read_in(request, place.language)
        return view(request, place, **parts)

    return guarded


def read_again(request: HttpRequest, place: Place) -> Place:
    """The place as it stands after a write."""
    return own_place(request, place.visit)


def basis_of(sent: QueryDict) -> dict[str, list[str]]:
    """By field, what the page showed in it, and what its script tried to send since."""
    return {key.removeprefix(WAS): list(map(str, sent.getlist(key))) for key in sent if key.startswith(WAS)}


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


def both_sentence(stands: str) -> str:
    """What a page without JavaScript says beside a field in which something else was written meanwhile."""
    if not stands:
        return _("This was emptied on another page meanwhile. Send once more to keep what you wrote here.")
    said = _("On another page “%(stands)s” was written here meanwhile. Send once more to keep yours, or write that.")
    return said % {"stands": stands}


def show_sheet(request: HttpRequest, place: Place, key: str, *, at: str = "", typed: Typed = NOTHING) -> HttpResponse:
    """A page of fields; first of all a tester says that they are an adult."""
    if not place.adult_at:
        return redirect("test_consents", place.visit)
    sheet, book = SHEETS[key], Book(place)
    if sheet.consent and sheet.consent not in book.consents:
        return redirect("test_consents", place.visit)
    context = {**frame(book, key), **sheet.context(Page(book, typed), at), "at": at}
    answer = render(request, sheet.template, context, status=422 if typed.refused else 200)
    return may_keep(answer, context) if f"test_{key}" in KEPT else answer


def may_keep(answer: HttpResponse, context: dict[str, Any]) -> HttpResponse:
    """Tell the phone that it may keep this page for when there is no line (static/js/report.js): not one that shows a
    body measurement."""
    bare = not any(one.name.startswith("body.") for one in context.get("follow", ()))
    if context["may_keep"] and bare and answer.status_code == 200:
        answer["X-May-Keep"] = "until sent"
    return answer


def save_sheet(request: HttpRequest, place: Place, key: str, *, at: str = "", here: str = "") -> HttpResponse:
    """Without JavaScript: save what changed on the page, then go on; or show it again with what is wrong."""
    fields = changed_fields(request.POST)
    stay = here or reverse(f"test_{key}", args=[place.visit])
    try:
        unit = request.POST.get("unit", "")
        saved = save_fields(place=place, fields=fields, unit=unit, basis=basis_of(request.POST))
    except Closed:
        return redirect(stay)
    place = read_again(request, place)
    wrong = saved.refused | {name: both_sentence(stands) for name, stands in saved.elsewhere.items()}
    if wrong:
        return show_sheet(request, place, key, at=at, typed=Typed(fields, wrong))
    return redirect(stay if "stay" in request.POST else after(Book(place), key))

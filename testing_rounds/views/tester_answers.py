"""A tester's pages of fields: measurements, size, print, instructions, the last questions; saving and sending."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from releases.files import open_file
from releases.models import PatternFile
from testing_rounds.actions.reports import Closed, NotReady, Saved, new_print, save_fields, send_report
from testing_rounds.actions.visits import take_file
from testing_rounds.models import Place
from testing_rounds.place_advice import advise_place
from testing_rounds.tester_book import Book
from testing_rounds.tester_both import both
from testing_rounds.tester_context import SHEETS, frame, send_page
from testing_rounds.tester_fields import MEASUREMENTS
from testing_rounds.tester_forms import Page, Shown
from testing_rounds.tester_size import advice_as_fields
from testing_rounds.views.tester_common import WAS, basis_of, for_tester, read_again, save_sheet, show_sheet

# The fields of one save: a page has fewer, and a phone that was away sends all it kept at once.
MOST_FIELDS = 200
ABOUT_THE_SAVE = {"csrfmiddlewaretoken", "unit", "page", "at"}
either = require_http_methods(["GET", "HEAD", "POST"])


def _sheet(request: HttpRequest, place: Place, key: str, at: str = "", here: str = "") -> HttpResponse:
    if request.method == "POST":
        return save_sheet(request, place, key, at=at, here=here)
    return show_sheet(request, place, key, at=at)


@either
@for_tester
def measures(request: HttpRequest, place: Place) -> HttpResponse:
    """The body measurements that this garment needs, if the tester allows them; none of a child."""
    if place.round.version.pattern.for_children:
        messages.info(request, _("Children’s sizes: size and age only, no child photos."))
        return redirect("test", place.visit)
    return _sheet(request, place, "measures")


@either
@for_tester
def size(request: HttpRequest, place: Place) -> HttpResponse:
    """The size advised with its reason, and the size or sizes that the tester cuts."""
    return _sheet(request, place, "size")


@require_POST
@for_tester
def take_advice(request: HttpRequest, place: Place) -> HttpResponse:
    """Cut as advised: the size, and the size at each place that is blended."""
    book = Book(place)
    advice = advise_place(place, book.body_mm)
    try:
        if advice and advice.size and MEASUREMENTS in book.consents:
            save_fields(place=place, fields=advice_as_fields(book, advice))
    except Closed as closed:
        messages.error(request, closed.sentence)
    return redirect("test_size", place.visit)


@require_safe
@for_tester
def file(request: HttpRequest, place: Place, file_ref: str) -> HttpResponseBase:
    """A file of the version that this tester sews, as a download."""
    found = PatternFile.objects.filter(version=place.round.version, ref=file_ref).select_related("version__pattern")
    if not found:
        raise Http404
    if request.method == "GET":
        take_file(place=place, file=found[0])
    return open_file(found[0])


@either
@for_tester
def print_check(request: HttpRequest, place: Place) -> HttpResponse:
    """The files to print, and the test square as it reads on paper."""
    return _sheet(request, place, "print")


@require_POST
@for_tester
def print_again(request: HttpRequest, place: Place) -> HttpResponse:
    """A new print has a new square: the reading before stays in the history."""
    try:
        new_print(place=place)
    except Closed as closed:
        messages.error(request, closed.sentence)
    return redirect("test_print", place.visit)


@either
@for_tester
def steps(request: HttpRequest, place: Place, number: int | None = None) -> HttpResponse:
    """The steps of the instructions, and the notes on the one that is open."""
    if number is None and (asked := request.GET.get("step", "")).isdecimal() and len(asked) < 4:
        return redirect("test_step", place.visit, int(asked))
    if number is None:
        return _sheet(request, place, "steps")
    if number > 999:
        raise Http404
    return _sheet(request, place, "steps", at=str(number), here=reverse("test_steps", args=[place.visit]))


@either
@for_tester
def last(request: HttpRequest, place: Place) -> HttpResponse:
    """Fabric, time, difficulty, and anything else."""
    return _sheet(request, place, "last")


@require_POST
@for_tester
def save(request: HttpRequest, place: Place) -> HttpResponse:
    """Fields as they are typed: each written by itself, the answer says what became of it."""
    fields = {name: str(text) for name, text in request.POST.items() if name not in ABOUT_THE_SAVE and name[:4] != WAS}
    if len(fields) > MOST_FIELDS:
        return JsonResponse({"closed": _("This is more than a page has.")}, status=400)
    try:
        unit = request.POST.get("unit", "")
        saved = save_fields(place=place, fields=fields, unit=unit, basis=basis_of(request.POST))
    except Closed as closed:
        return JsonResponse({"closed": closed.sentence}, status=409)
    return JsonResponse(_what_became(request, read_again(request, place), fields, saved))


def _what_became(request: HttpRequest, place: Place, fields: dict[str, str], saved: Saved) -> dict[str, object]:
    """For each field of the page the sentence beside it, and the parts of the page that say something new."""
    answer: dict[str, object] = {"at": timezone.now().isoformat(), "refused": saved.refused, "beside": {}, "live": {}}
    key, at = request.POST.get("page", ""), request.POST.get("at", "")
    book = Book(place, unit=request.POST.get("unit", ""))
    answer["both"] = {name: both(book, name, fields[name], stands) for name, stands in saved.elsewhere.items()}
    if key not in SHEETS or not place.adult_at:
        return answer
    sheet = SHEETS[key]
    context = {**frame(book, key), **sheet.context(Page(book), at), "at": at}
    answer["beside"] = {one.name: _beside(one) for one in _shown(context) if one.kind == "length" or one.name in fields}
    answer["live"] = {part: render_to_string(f"{sheet.template}#{part}", context, request) for part in sheet.live} | {
        "live_way": render_to_string("tester/way.html", context, request)
    }
    return answer


def _beside(one: Shown) -> dict[str, str]:
    return {"error": one.error, "ask": one.ask, "echo": one.echo, "label": str(one.label)}


def _shown(value: object) -> list[Shown]:
    """Every field in a page's context, however deep."""
    if isinstance(value, Shown):
        return [value]
    if isinstance(value, dict):
        return [one for part in value.values() for one in _shown(part)]
    if isinstance(value, list | tuple):
        return [one for part in value for one in _shown(part)]
    return []


@either
@for_tester
def send(request: HttpRequest, place: Place) -> HttpResponse:
    """All that was said, once more; then sent, once, however often the button is pressed."""
    if not place.adult_at:
        return redirect("test_consents", place.visit)
    if request.method == "POST":
        try:
            send_report(place=place)
        except (Closed, NotReady):
            return redirect("test_send", place.visit)
        return redirect("test", place.visit)
    book = Book(place)
    return render(request, "tester/send.html", {**frame(book, "send"), **send_page(Page(book))})

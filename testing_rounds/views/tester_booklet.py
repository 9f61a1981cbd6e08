"""What a tester reads while sewing: the booklet that the studio put together, and the pictures of its steps."""

from __future__ import annotations

from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase
from django.views.decorators.http import require_safe

from releases.booklet_document import booklet_content, file_name
from releases.made_documents import What
from releases.paper import PAPERS
from releases.views.booklet import small_picture
from releases.views.made import made_or_waiting
from testing_rounds.models import Place
from testing_rounds.tester_book import Book
from testing_rounds.tester_context import frame
from testing_rounds.tester_papers import has_booklet
from testing_rounds.views.tester_common import for_tester


@require_safe
@for_tester
def booklet(request: HttpRequest, place: Place) -> HttpResponseBase:
    """The booklet of the tester's version on the tester's paper, made by a worker while a page waits."""
    book = Book(place)
    if not has_booklet(book):
        raise Http404
    version, paper = book.version, PAPERS["letter" if place.paper == "letter" else "a4"]
    return made_or_waiting(
        request,
        version,
        What.BOOKLET,
        paper,
        booklet_content(version),
        file_name(version, paper),
        page="tester/booklet_wait.html",
        more=frame(book),
    )


@require_safe
@for_tester
def step_picture(request: HttpRequest, place: Place, number: int) -> HttpResponseBase:
    """The small picture of a step."""
    shown = place.round.version.steps_shown.filter(number=number).first()
    if shown is None:
        raise Http404
    return small_picture(shown)

"""A tester's arrival, the page that says what comes next, what they allow, and leaving."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import get_language, gettext_lazy
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from people.languages import known, read_in, remember
from people.models import ConsentKind
from people.refs import token_hash
from testing_rounds.access import SESSION_KEY
from testing_rounds.actions.uses import standing_uses
from testing_rounds.actions.visits import (
    arrive,
    choose_language,
    confirm_adult,
    give_consent,
    stop_testing,
    withdraw_consent,
)
from testing_rounds.consents import WORDS, day_they_go, words_for
from testing_rounds.models import Place, PlaceState, Stage, TesterLink
from testing_rounds.tester_book import Book
from testing_rounds.tester_context import frame, own_page
from testing_rounds.tester_pages import after
from testing_rounds.views.tester_common import for_tester, may_keep, read_again

# A person tests for a few studios at a time; an older visit ends when there are more.
LINKS_KEPT = 20
# Pages that a mail may name behind its link.
NAMED = {"dates": "test_dates", "stop": "test_stop", "messages": "test_messages"}
WAITING_ROOM = (PlaceState.APPLIED, PlaceState.RESERVE)


@require_http_methods(["GET", "HEAD", "POST"])
def tester_link(request: HttpRequest, token: str) -> HttpResponse:
    """The link of an invitation. Opening it changes nothing, however often a mail scanner does; its button signs in."""
    link = (
        TesterLink.objects.live(timezone.now())
        .filter(token_hash=token_hash(token))
        .exclude(place__state__in=WAITING_ROOM)
        .select_related("place__round__version__pattern__studio")
        .first()
    )
    if link is not None:
        read_in(request, link.place.language)
    if link is None:
        response = render(request, "tester/gone.html", status=404)
    elif request.method == "POST":
        place = arrive(link=link, language=get_language() or "")
        request.session.cycle_key()
        others = [ref for ref in request.session.get(SESSION_KEY, []) if ref != link.ref]
        request.session[SESSION_KEY] = [*others, link.ref][-LINKS_KEPT:]
        response = _where_to(place, request.GET.get("to", ""))
    else:
        context = {"place": link.place, "round": link.place.round, "version": link.place.round.version}
        response = render(request, "tester/link.html", context)
    return keep_secret(response)


def _where_to(place: Place, page: str) -> HttpResponse:
    """The page that the mail spoke of, else the first one."""
    if page == Stage.FINISHED:
        place.stage = Stage.FINISHED
    return redirect(NAMED.get(page, "test"), place.visit)


def keep_secret(response: HttpResponse) -> HttpResponse:
    """The address holds a secret: no referrer carries it on, no log line repeats it.

    Only the site's name goes out as referrer. "no-referrer" would send the button's form with an origin of "null",
    which the protection against forged forms must refuse.
    """
    response["Referrer-Policy"] = "strict-origin"
    response["X-Robots-Tag"] = "noindex"
    response._has_been_logged = True
    return response


@require_safe
@for_tester
def test(request: HttpRequest, place: Place) -> HttpResponse:
    """What comes next, in one sentence, and all parts of the way."""
    book = Book(place)
    context = {**frame(book), **own_page(book)}
    return may_keep(render(request, "tester/test.html", context), context)


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The script with which a phone opens the pages of a round without a line; its address bounds what it sees."""
    return render(request, "tester/worker.js", content_type="text/javascript")


@require_http_methods(["GET", "HEAD", "POST"])
@for_tester
def stop(request: HttpRequest, place: Place) -> HttpResponse:
    """Leave the round: asked once more, then done."""
    if request.method == "POST":
        stop_testing(place=place)
        return redirect("test", place.visit)
    return render(request, "tester/stop.html", frame(Book(place)))


@require_POST
@for_tester
def language(request: HttpRequest, place: Place) -> HttpResponse:
    """The language of this tester's pages and mails, and of this browser."""
    chosen = known(request.POST.get("language", ""))
    back = redirect("test", place.visit)
    if not chosen:
        return back
    choose_language(place=place, language=chosen)
    return remember(request, back, chosen)


@require_POST
@for_tester
def sign_out(request: HttpRequest, place: Place) -> HttpResponse:
    """End the visit on this phone; the link in the mail still works."""
    own = set(place.links.values_list("ref", flat=True))
    left = [ref for ref in request.session.get(SESSION_KEY, []) if ref not in own]
    if left or request.user.is_authenticated:
        request.session[SESSION_KEY] = left
        request.session.cycle_key()
    else:
        request.session.flush()
    return render(request, "tester/signed_out.html", {"forget": place.ref})


class ConsentForm(forms.Form):
    """What is not allowed yet, each by itself; and that the tester is an adult."""

    adult = forms.BooleanField(required=False)

    def __init__(self, place: Place, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.place = place
        for kind in ConsentKind:
            self.fields[kind.value] = forms.BooleanField(required=False)

    def clean_adult(self) -> bool:
        if not self.cleaned_data["adult"] and not self.place.adult_at:
            raise forms.ValidationError(_("Testers are adults. Please tick this if you are 18 or over."))
        return True


@require_http_methods(["GET", "HEAD", "POST"])
@for_tester
def consents(request: HttpRequest, place: Place) -> HttpResponse:
    """The five permissions, each given by itself, each with its day."""
    form = ConsentForm(place, request.POST or None)
    if request.method == "POST" and form.is_valid():
        confirm_adult(place=place, adult=True)
        for words in words_for(place.round.version.pattern):
            if form.cleaned_data[words.kind.value]:
                give_consent(place=place, kind=words.kind)
        return redirect(after(Book(read_again(request, place)), "consents"))
    book = Book(place)
    asked = [(words, book.consents.get(words.kind), words.kind in request.POST) for words in words_for(book.pattern)]
    context = {**frame(book, "consents"), "form": form, "asked": asked, "day": day_they_go(timezone.now())}
    return render(request, "tester/consents.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@for_tester
def take_back(request: HttpRequest, place: Place, kind: str) -> HttpResponse:
    """Take one permission back, also after the round; what follows is said first."""
    words = next((words for words in WORDS if words.kind == kind), None)
    book = Book(place)
    if words is None or kind not in book.consents:
        return redirect("test_consents", place.visit)
    if request.method == "POST":
        withdraw_consent(place=place, kind=kind)
        messages.success(request, str(TAKEN_BACK.get(words.kind, _("Taken back."))))
        return redirect("test_consents", place.visit)
    uses = standing_uses(place) if kind == ConsentKind.PROMOTION else ()
    return render(request, "tester/take_back.html", {**frame(book, "consents"), "words": words, "uses": uses})


TAKEN_BACK = {
    ConsentKind.MEASUREMENTS: gettext_lazy("Taken back. Your measurements are gone."),
    ConsentKind.PHOTOS: gettext_lazy("Taken back. The studio no longer sees your photos."),
}

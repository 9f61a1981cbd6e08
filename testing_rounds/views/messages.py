"""Messages of a tester and the studio: one page for each side."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from people.access import EDITORS, EVERY_ROLE, signed_in
from people.models import Person
from releases.actions.refused import Refused
from testing_rounds.access import place_for
from testing_rounds.actions.messages import mark_read, send_message
from testing_rounds.due import zone_of
from testing_rounds.message_forms import MessageForm, thread, unread
from testing_rounds.models import Place
from testing_rounds.tester_book import Book
from testing_rounds.tester_context import frame
from testing_rounds.views.tester_common import for_tester

either = require_http_methods(["GET", "HEAD", "POST"])


@either
def place_messages(request: HttpRequest, ref: str) -> HttpResponse:
    """What was written, and the next word. Sending marks what came from the tester as read."""
    place = place_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    form = MessageForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        if request.POST.get("do") == "read":
            mark_read(place=place, by_tester=False)
            return redirect("place", place.ref)
        if _sent(request, place, form, by=signed_in(request)):
            return redirect(f"{reverse('place_messages', args=[place.ref])}#last")
    context = {
        "place": place,
        "round": place.round,
        "version": place.round.version,
        "pattern": place.round.version.pattern,
        "thread": thread(place),
        "unread": unread(place, by_tester=False),
        "form": form,
        "reports": [report for report in place.reports.all() if report.submitted_at],
    }
    return render(request, "testing_rounds/messages.html", context, status=422 if form.errors else 200)


@either
@for_tester
def test_messages(request: HttpRequest, place: Place) -> HttpResponse:
    """The tester's side of the same."""
    form = MessageForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        if request.POST.get("do") == "read":
            mark_read(place=place, by_tester=True)
            return redirect("test", place.ref)
        if _sent(request, place, form, by=None):
            return redirect(f"{reverse('test_messages', args=[place.ref])}#last")
    new = unread(place, by_tester=True)
    context = {**frame(Book(place)), "thread": thread(place), "unread": new, "form": form}
    with timezone.override(zone_of(place)):
        return render(request, "tester/messages.html", context, status=422 if form.errors else 200)


def _sent(request: HttpRequest, place: Place, form: MessageForm, by: Person | None) -> bool:
    """Send it about the report that the place has, and say so; False where it could not be sent."""
    if not form.is_valid():
        return False
    report = next((one for one in place.reports.order_by("-submitted_at") if one.submitted_at), None)
    try:
        send_message(place=place, text=form.cleaned_data["text"], sent_key=form.sent_key, by=by, report=report)
    except Refused as refused:
        form.add_error("text", refused.sentence)
        return False
    mark_read(place=place, by_tester=by is None)
    messages.success(request, _("Your message is sent; a mail says so to the other side."))
    return True

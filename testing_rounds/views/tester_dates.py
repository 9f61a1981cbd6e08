"""A tester's days: when the report is due where they live, more time, a calendar file; and what changed since they
printed."""

from __future__ import annotations

from collections.abc import Iterator

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import get_valid_filename
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from people.mail import site_address
from releases.file_comparisons import ask_for_pair
from testing_rounds.actions.reports import Closed, save_fields
from testing_rounds.actions.visits import ask_for_days
from testing_rounds.calendar_file import CalendarDay, calendar_file
from testing_rounds.due import due_day, due_moment, may_ask_for_days, zone_name_of, zone_names
from testing_rounds.models import Place, PlaceState
from testing_rounds.tester_book import Book
from testing_rounds.tester_context import frame
from testing_rounds.tester_papers import since_printed
from testing_rounds.views.tester_common import for_tester

either = require_http_methods(["GET", "HEAD", "POST"])


class ZoneForm(forms.Form):
    """The tester's time zone."""

    timezone = forms.ChoiceField()

    def __init__(self, *args: object, place: Place, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.initial["timezone"] = place.timezone
        names = dict.fromkeys([*([place.timezone] if place.timezone else []), *zone_names()])
        field: forms.ChoiceField = self.fields["timezone"]  # type: ignore[assignment]
        field.label = _("Your time zone")
        field.choices = [("", _("not said: UTC")), *((name, name.replace("_", " ")) for name in names)]
        field.required = False


@either
@for_tester
def dates(request: HttpRequest, place: Place) -> HttpResponse:
    """All days of the round, in the tester's own time."""
    form = ZoneForm(request.POST or None, place=place)
    if request.method == "POST" and form.is_valid():
        save_fields(place=place, fields={"timezone": form.cleaned_data["timezone"]})
        return redirect("test_dates", place.visit)
    context = {
        **frame(Book(place)),
        "form": form,
        "due": due_day(place),
        "zone": zone_name_of(place),
        "more": may_ask_for_days(place) if place.state in {PlaceState.INVITED, PlaceState.ACCEPTED} else 0,
    }
    return render(request, "tester/dates.html", context, status=422 if form.errors else 200)


@require_POST
@for_tester
def more_days(request: HttpRequest, place: Place) -> HttpResponse:
    """Three more days, or as many as the round is open for."""
    try:
        days = ask_for_days(place=place)
    except Closed as closed:
        messages.error(request, closed.sentence)
    else:
        said = ngettext("You have %(days)s more day.", "You have %(days)s more days.", days) % {"days": days}
        if days:
            messages.success(request, said + " " + _("The studio sees it; you need not explain."))
        else:
            messages.error(request, _("There is no more time in this round. Please write to the studio."))
    return redirect("test_dates", place.visit)


@require_safe
@for_tester
def calendar(request: HttpRequest, place: Place) -> HttpResponse:
    """The days of the round for a calendar."""
    pattern = place.round.version.pattern
    content = calendar_file(_days(place), name=pattern.name, now=timezone.now())
    name = get_valid_filename(f"{pattern.name} {place.round.version.number}.ics").lower()
    disposition = f'attachment; filename="{name}"'
    headers = {"Content-Disposition": disposition, "Cache-Control": "private, no-store"}
    return HttpResponse(content, content_type="text/calendar; charset=utf-8", headers=headers)


def _days(place: Place) -> Iterator[CalendarDay]:
    found, address = place.round, site_address(reverse("test", args=[place.visit]))
    told = {"pattern": f"{found.version.pattern.name} {found.version.number}"}
    studio = found.version.pattern.studio.name
    due = due_moment(place)
    if found.starts:
        yield CalendarDay(f"{place.visit}-starts@second-toile", found.starts, _("Sewing starts: %(pattern)s") % told)
    if due:
        words = _("The report is due at the end of this hour. It goes to %(studio)s.") % {"studio": studio}
        title = _("Report due: %(pattern)s") % told
        yield CalendarDay(f"{place.visit}-due@second-toile", due, title, words, address, place.more_days)
    if found.closes:
        yield CalendarDay(f"{place.visit}-closes@second-toile", found.closes, _("Round closes: %(pattern)s") % told)


@either
@for_tester
def changed(request: HttpRequest, place: Place) -> HttpResponse:
    """What changed since the print that this tester has; a POST has the two files compared."""
    book = Book(place)
    since = since_printed(book)
    if request.method == "POST":
        if since is not None:
            ask_for_pair(since.old, since.new)
        return redirect("test_changed", place.visit)
    return render(request, "tester/changed.html", {**frame(book), "since": since})

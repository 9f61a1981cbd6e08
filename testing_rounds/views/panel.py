"""The panel of a round, and one tester of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_http_methods

from people.access import EDITORS, EVERY_ROLE, signed_in
from people.mail import MailNotSent, site_address
from people.models import Person
from releases.actions.refused import Refused
from testing_rounds.access import place_for, round_for
from testing_rounds.actions import panel as actions
from testing_rounds.models import Place, PlaceState, Round, RoundState
from testing_rounds.panel_candidates import free_places, reserves_told
from testing_rounds.panel_page import Panel
from testing_rounds.panel_words import headline, needs
from testing_rounds.place_page import place_context
from testing_rounds.place_words import place_headline

either = require_http_methods(["GET", "HEAD", "POST"])
NO_MAIL = gettext_lazy("The mail did not leave: the mail server does not answer. Send it again in a while.")


class AddForm(forms.Form):
    """A tester whom the studio knows."""

    name = forms.CharField(
        label=gettext_lazy("Name"), max_length=120, error_messages={"required": gettext_lazy("Who is it?")}
    )
    email = forms.EmailField(
        label=gettext_lazy("E-mail"),
        help_text=gettext_lazy("The invitation goes there."),
        error_messages={
            "required": gettext_lazy("Where does the invitation go?"),
            "invalid": gettext_lazy("This is not a whole e-mail address. It needs a name, an @ and a place."),
        },
    )
    size = forms.ChoiceField(
        label=gettext_lazy("Size to sew"), error_messages={"required": gettext_lazy("Choose the size to sew.")}
    )

    def __init__(self, *args: Any, found: Round, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["size"].choices = [("", _("choose")), *((size, size) for size in found.version.sizes)]


@either
def panel(request: HttpRequest, ref: str) -> HttpResponse:
    """Everybody by size, against what was asked for; testers are added and invited here."""
    found = round_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    form = AddForm(found=found)
    if request.method == "POST" and request.POST.get("do") in ALL_AT_ONCE:
        return ALL_AT_ONCE[request.POST["do"]](request, found)
    if request.method == "POST":
        form = AddForm(request.POST, found=found)
        if form.is_valid() and _added(request, found, form):
            return redirect("panel", found.ref)
    everybody = Panel(found)
    shown = everybody.context()
    editing = request.membership.role in EDITORS
    context = {
        **shown,
        "form": form,
        "show_choose": editing and bool(shown["waiting"]) and found.state != RoundState.CLOSED,
        "round": found,
        "version": found.version,
        "pattern": found.version.pattern,
        "call_address": site_address(reverse("call", args=[found.call_ref])),
        "headline": headline(everybody),
        "needs": needs(everybody),
        "places": everybody.places,
        "free": free_places(everybody),
        "untold": sum(row.place.state == PlaceState.RESERVE for row in everybody.rows) - reserves_told(found),
        "span": len(everybody.columns) + (5 if editing else 4),
    }
    return render(request, "testing_rounds/panel.html", context, status=422 if form.errors else 200)


def _added(request: HttpRequest, found: Round, form: AddForm) -> bool:
    try:
        place = actions.add_by_hand(found=found, by=signed_in(request), **form.cleaned_data)
    except Refused as refused:
        form.add_error("email", refused.sentence)
        return False
    messages.success(request, _("%(tester)s has a place in size %(size)s.") % {"tester": place, "size": place.size})
    return True


def _invite_all(request: HttpRequest, found: Round) -> HttpResponse:
    """Invite whoever is chosen. It ends at the first mail that does not leave, so that none is lost unseen."""
    sent = 0
    try:
        for row in Panel(found).chosen:
            actions.invite_tester(place=row.place, by=signed_in(request))
            sent += 1
    except Refused as refused:
        messages.error(request, refused.sentence)
    except MailNotSent:
        messages.error(request, str(NO_MAIL))
    if sent:
        said = ngettext("One invitation is on its way.", "%(sent)s invitations are on their way.", sent)
        messages.success(request, said % {"sent": sent})
    return redirect("panel", found.ref)


def _tell_reserves(request: HttpRequest, found: Round) -> HttpResponse:
    told = actions.answer_reserves(found=found, by=signed_in(request))
    said = ngettext("One mail to a reserve is on its way.", "%(told)s mails to reserves are on their way.", told)
    messages.success(request, said % {"told": told})
    return redirect("panel", found.ref)


def _decline_rest(request: HttpRequest, found: Round) -> HttpResponse:
    """No place for whoever is neither chosen nor in reserve; asked once more before."""
    if "sure" not in request.POST:
        context = {"round": found, "version": found.version, "pattern": found.version.pattern}
        rest = [row.place for row in Panel(found).rows if row.seat.waiting]
        return render(request, "testing_rounds/panel_decline.html", context | {"rest": rest})
    count = actions.decline_rest(found=found, by=signed_in(request))
    said = ngettext(
        "One applicant is told that there is no place.", "%(count)s applicants are told that there is no place.", count
    )
    messages.success(request, said % {"count": count})
    return redirect("panel", found.ref)


ALL_AT_ONCE: Mapping[str, Callable[[HttpRequest, Round], HttpResponse]] = {
    "invite_all": _invite_all,
    "tell_reserves": _tell_reserves,
    "decline_rest": _decline_rest,
}


@either
def place(request: HttpRequest, ref: str) -> HttpResponse:
    """One tester: what they are, said and have; and what the studio can do."""
    found = place_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    if request.method == "POST":
        return _done(request, found)
    context = place_context(found)
    context["headline"] = place_headline(found, late=context["late"])
    return render(request, "testing_rounds/place.html", context)


def _done(request: HttpRequest, found: Place) -> HttpResponse:
    """Do what `do` names, then go back to where the button stood; a new link is shown at once, and only now."""
    what, by = request.POST.get("do", ""), signed_in(request)
    try:
        if what in LINKS:
            return _link_page(request, found, LINKS[what](found, by))
        if what in CHANGES:
            act, said = CHANGES[what]
            act(found, by, request.POST)
            messages.success(request, str(said) % {"tester": found})
    except Refused as refused:
        messages.error(request, refused.sentence)
    except MailNotSent:
        messages.error(request, str(NO_MAIL))
    if request.POST.get("from") == "panel":
        return redirect(f"{reverse('panel', args=[found.round.ref])}#p-{found.ref}")
    return redirect("place", found.ref)


def _link_page(request: HttpRequest, found: Place, path: str) -> HttpResponse:
    context = {
        "place": found,
        "round": found.round,
        "version": found.round.version,
        "pattern": found.round.version.pattern,
        "address": site_address(path),
    }
    response = render(request, "testing_rounds/place_link.html", context)
    response["Referrer-Policy"] = "strict-origin"
    return response


LINKS: Mapping[str, Callable[[Place, Person], str]] = {
    "invite": lambda place, by: actions.invite_tester(place=place, by=by),
    "invite_again": lambda place, by: actions.invite_tester(place=place, by=by, again=True),
    "new_link": lambda place, by: actions.send_new_link(place=place, by=by),
    "move_up": lambda place, by: actions.move_up(place=place, by=by),
}
Change = Callable[[Place, Person, Mapping[str, str]], object]
CHANGES: Mapping[str, tuple[Change, str | Promise]] = {
    "choose": (
        lambda place, by, sent: actions.choose(place=place, size=sent.get("size", ""), by=by),
        gettext_lazy("%(tester)s is chosen."),
    ),
    "reserve": (
        lambda place, by, sent: actions.set_reserve(place=place, by=by),
        gettext_lazy("%(tester)s is in reserve."),
    ),
    "decline": (
        lambda place, by, sent: actions.decline(place=place, by=by),
        gettext_lazy("%(tester)s is told that there is no place this time."),
    ),
    "back": (
        lambda place, by, sent: actions.back_to_applied(place=place, by=by),
        gettext_lazy("%(tester)s is back among those who applied."),
    ),
    "drop": (
        lambda place, by, sent: actions.drop(place=place, by=by),
        gettext_lazy("%(tester)s is off the panel."),
    ),
    "revoke": (
        lambda place, by, sent: actions.revoke(place=place, by=by),
        gettext_lazy("The links of %(tester)s no longer work."),
    ),
}

"""Sizes signed one by one: the grid of a version, and one size with its evidence."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from people.access import EDITORS, signed_in
from releases.access import version_for
from releases.actions.refused import Refused
from releases.actions.sign_off import sign_size, withdraw_size
from releases.forms.launch import ReasonForm
from releases.models import Version
from releases.sign_offs import signer, state_words
from releases.size_conditions import grid_of
from testing_rounds.models import Place
from testing_rounds.sign_off_forms import SignForm
from testing_rounds.sign_off_page import SignPage, grid_headline, next_unread, sign_page
from testing_rounds.summary_names import Nameless


@require_safe
def sign_off(request: HttpRequest, ref: str) -> HttpResponse:
    """Every size: where it stands and which conditions it meets."""
    found = version_for(request, ref)
    context = {
        "version": found,
        "pattern": found.pattern,
        "headline": grid_headline(found),
        "grid": (grid := grid_of(found)),
        "first": next((head for head in grid.heads if head.state in {"unread", "lapsed"}), None),
        "signer": signer(found.pattern.studio, signed_in(request)),
    }
    return render(request, "testing_rounds/sign_off.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def sign_off_size(request: HttpRequest, ref: str, position: int) -> HttpResponse:
    """One size: all that speaks for and against it, and the form that signs or holds it."""
    found = version_for(request, ref)
    if position >= len(found.sizes):
        raise Http404
    page = sign_page(found, position, signed_in(request))
    if request.method != "POST":
        return _page(request, found, page, position, SignForm(initial={"shown": page.token}))
    if not page.signer.may:
        raise Http404
    form = SignForm(request.POST)
    if form.is_valid() and form.cleaned_data["shown"] != page.token:
        form.add_error(None, _("This size changed while you read it. Look at it again, then sign."))
    if form.is_valid() and (named := _tester_named(found, form.cleaned_data["note"])):
        form.add_error("note", named)
    if form.is_valid():
        try:
            row = sign_size(
                version=found,
                size=page.size,
                state=form.cleaned_data["state"],
                note=form.cleaned_data["note"],
                saw=page.saw,
                met=page.met,
                by=signed_in(request),
            )
        except Refused as refused:
            form.add_error("note", refused.sentence)
        else:
            messages.success(request, _("Size %(size)s: %(state)s.") % {"size": page.size, "state": state_words(row)})
            return redirect(next_unread(found, position))
    return _page(request, found, page, position, form)


def _tester_named(version: Version, note: str) -> str:
    """What a sealed note is refused for: a name in it could never be taken out again. "" where it holds none."""
    places = Place.objects.filter(round__version__pattern=version.pattern).exclude(name="", email="")
    name = Nameless(places).first(note)
    if not name:
        return ""
    said = _("“%(name)s” is a tester’s name. This note is sealed for good, so please say it without the name.")
    return said % {"name": name}


def _page(
    request: HttpRequest,
    found: Version,
    page: SignPage,
    position: int,
    form: SignForm,
    reason: ReasonForm | None = None,
) -> HttpResponse:
    if form.is_bound:
        form.data = {**form.data.dict(), "shown": page.token}
    context = {
        "version": found,
        "pattern": found.pattern,
        "sign": page,
        "page": page.page,
        "position": position,
        "form": form,
        "reason": reason or ReasonForm(auto_id="id_why_%s"),
    }
    status = 422 if form.errors or (reason and reason.errors) else 200
    return render(request, "testing_rounds/sign_off_size.html", context, status=status)


@require_POST
def sign_off_withdraw(request: HttpRequest, ref: str) -> HttpResponse:
    """Leave a size (`position`) out of what is sold."""
    found = version_for(request, ref, EDITORS)
    position = request.POST.get("position", "")
    if not (position.isascii() and position.isdigit() and int(position) < len(found.sizes)):
        raise Http404
    form = ReasonForm(request.POST, auto_id="id_why_%s")
    if form.is_valid() and (named := _tester_named(found, form.cleaned_data["reason"])):
        form.add_error("reason", named)
    if not form.is_valid():
        page = sign_page(found, int(position), signed_in(request))
        return _page(request, found, page, int(position), SignForm(initial={"shown": page.token}), form)
    size = found.sizes[int(position)]
    withdraw_size(version=found, size=size, reason=form.cleaned_data["reason"], by=signed_in(request))
    messages.success(request, _("Size %(size)s is left out of what is sold.") % {"size": size})
    return redirect("sign_off", found.ref)

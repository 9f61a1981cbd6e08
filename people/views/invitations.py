"""The page that an invitation's link opens."""

from __future__ import annotations

from allauth.account.adapter import get_adapter
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from people import actions
from people.access import signed_in
from people.invitations import InvitationState, find_invitation, state_of
from people.models import Invitation


@require_http_methods(["GET", "HEAD", "POST"])
def invitation(request: HttpRequest, token: str) -> HttpResponse:
    """What someone is invited to; they take it up with a button, signed in with the address that it went to."""
    found = find_invitation(token)
    if found is None:
        raise Http404
    if request.method == "POST":
        try:
            return _accepted(request, found)
        except actions.Refused as refusal:
            messages.error(request, refusal.sentence)
    state = state_of(found, timezone.now())
    if state is InvitationState.WAITING and not request.user.is_authenticated:
        # The link came by mail, so whoever holds it has shown that the address is theirs.
        get_adapter(request).stash_verified_email(request, found.email)
    context = {"invitation": found, "state": state.value, "is_addressee": _is_addressee(request, found)}
    return render(request, "people/invitation.html", context, status=200 if state is InvitationState.WAITING else 410)


def _accepted(request: HttpRequest, found: Invitation) -> HttpResponse:
    if not request.user.is_authenticated:
        raise actions.Refused(_("Sign in first, or make an account, with the address that the invitation went to."))
    actions.accept_invitation(invitation=found, by=signed_in(request))
    messages.success(request, _("Welcome to %(studio)s.") % {"studio": found.studio.name})
    return redirect("studio", found.studio.ref)


def _is_addressee(request: HttpRequest, found: Invitation) -> bool:
    return request.user.is_authenticated and request.user.email.lower() == found.email.lower()

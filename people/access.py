"""Gatekeepers of a studio: they return the thing, or answer 404 to a stranger."""

from __future__ import annotations

from django.http import Http404, HttpRequest

from people.models import Membership, Person, Role, Studio

EVERY_ROLE = frozenset(Role.values)
EDITORS = frozenset({Role.OWNER, Role.DESIGNER})
OWNERS = frozenset({Role.OWNER})


def signed_in(request: HttpRequest) -> Person:
    """The person who is signed in, or 404."""
    if not request.user.is_authenticated:
        raise Http404
    return request.user


def membership_for(request: HttpRequest, studio: Studio, roles: frozenset[str] = EVERY_ROLE) -> Membership:
    """The signed-in person's membership of this studio in one of the roles, or 404.

    The person's memberships are read once a request.
    """
    if not request.user.is_authenticated:
        raise Http404
    if not hasattr(request, "memberships"):
        request.memberships = {m.studio_id: m for m in request.user.memberships.select_related("studio")}
    found = request.memberships.get(studio.pk)
    if found is None or found.role not in roles:
        raise Http404
    request.membership = found
    request.studio = studio
    return found


def studio_for(request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE) -> Studio:
    """The studio of that ref, for its people in one of the roles."""
    studio = Studio.objects.filter(ref=ref).first()
    if studio is None:
        raise Http404
    membership_for(request, studio, roles)
    return studio

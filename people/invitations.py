"""Reading invitations: which one a link opens, and how it stands."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum

from django.db.models import QuerySet
from django.utils import timezone

from people.models import Invitation, Studio
from people.refs import token_hash


class InvitationState(StrEnum):
    WAITING = "waiting"
    ACCEPTED = "accepted"
    REVOKED = "revoked"
    EXPIRED = "expired"


def waiting(studio: Studio) -> QuerySet[Invitation]:
    """Invitations of the studio that can still be taken up."""
    return Invitation.objects.live(timezone.now()).filter(studio=studio, accepted_at=None)


def find_invitation(token: str) -> Invitation | None:
    """The invitation that a mailed link names, in whatever state it is."""
    found = Invitation.objects.select_related("studio", "invited_by").filter(token_hash=token_hash(token))
    return found.first()


def state_of(invitation: Invitation, at: datetime) -> InvitationState:
    if invitation.accepted_at:
        return InvitationState.ACCEPTED
    if invitation.revoked_at:
        return InvitationState.REVOKED
    return InvitationState.WAITING if invitation.is_live(at) else InvitationState.EXPIRED

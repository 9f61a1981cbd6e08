"""What changes a studio and its people. Each verb is one transaction, and leaves its entry in the trail."""

from __future__ import annotations

from datetime import timedelta

from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from people.audit import record
from people.invitations import InvitationState, state_of, waiting
from people.mail import send_after_commit, site_address
from people.models import Invitation, Membership, Person, Role, Studio
from people.refs import new_token, token_hash

INVITED_ROLES = frozenset({Role.DESIGNER, Role.REVIEWER})


class Refused(Exception):  # noqa: N818  (it reads as what happened)
    """The studio's rules say no; `sentence` tells the person why."""

    def __init__(self, sentence: str | Promise) -> None:
        super().__init__(str(sentence))
        self.sentence = str(sentence)


@transaction.atomic
def create_studio(*, name: str, by: Person) -> Studio:
    """A new studio, owned by the person who made it."""
    studio = Studio.objects.create(name=name)
    Membership.objects.create(studio=studio, person=by, role=Role.OWNER)
    record(studio=studio, by=by, verb="studio_created", thing=studio, content={"name": name})
    return studio


@transaction.atomic
def invite(*, studio: Studio, email: str, role: str, by: Person) -> Invitation:
    """Invite someone by mail; an older invitation to the same address stops working. Raises Refused."""
    lock_studio(studio)
    email = email.strip().lower()
    _refuse_invitation(studio, email, role)
    waiting(studio).filter(email__iexact=email).update(revoked_at=timezone.now())
    token = new_token()
    invitation = Invitation.objects.create(
        studio=studio,
        email=email,
        role=role,
        invited_by=by,
        token_hash=token_hash(token),
        expires_at=timezone.now() + timedelta(days=settings.INVITATION_DAYS),
    )
    record(studio=studio, by=by, verb="person_invited", thing=invitation, content={"role": role})
    send_after_commit(
        to=email,
        template="people/mail/invitation.txt",
        context={"invitation": invitation, "address": site_address(reverse("invitation", args=[token]))},
    )
    return invitation


def _refuse_invitation(studio: Studio, email: str, role: str) -> None:
    if role not in INVITED_ROLES:
        raise Refused(_("Someone is invited as designer or as reviewer; an owner can be made later."))
    if studio.memberships.filter(person__email__iexact=email).exists():
        raise Refused(_("This person already belongs to the studio."))
    others = waiting(studio).exclude(email__iexact=email).count()
    if others >= settings.INVITATIONS_WAITING:
        raise Refused(_("Many invitations are still waiting for an answer. Revoke one before you send another."))


@transaction.atomic
def accept_invitation(*, invitation: Invitation, by: Person) -> Membership:
    """Take up an invitation: only the person whose address it was sent to can. Raises Refused."""
    lock_studio(invitation.studio)
    invitation = Invitation.objects.select_related("studio").get(pk=invitation.pk)
    if state_of(invitation, timezone.now()) is not InvitationState.WAITING:
        raise Refused(_("This invitation is no longer open."))
    if invitation.email.lower() != by.email.lower():
        raise Refused(_("This invitation was sent to another address."))
    membership, _made = Membership.objects.get_or_create(
        studio=invitation.studio, person=by, defaults={"role": invitation.role}
    )
    invitation.accepted_at = timezone.now()
    invitation.save(update_fields=["accepted_at"])
    record(studio=invitation.studio, by=by, verb="invitation_accepted", thing=invitation)
    return membership


@transaction.atomic
def revoke_invitation(*, invitation: Invitation, by: Person) -> None:
    """Close an invitation that nobody has taken up; closing it twice changes nothing."""
    closed = Invitation.objects.filter(pk=invitation.pk, accepted_at=None, revoked_at=None).update(
        revoked_at=timezone.now()
    )
    if closed:
        record(studio=invitation.studio, by=by, verb="invitation_revoked", thing=invitation)


@transaction.atomic
def change_role(*, membership: Membership, role: str, by: Person) -> None:
    """Give a member another role; a studio keeps at least one owner. Raises Refused."""
    lock_studio(membership.studio)
    if role not in Role.values:
        raise Refused(_("A role is owner, designer or reviewer."))
    if role != Role.OWNER:
        _keep_an_owner(membership)
    membership.role = role
    membership.save(update_fields=["role"])
    record(studio=membership.studio, by=by, verb="role_changed", thing=membership.person, content={"role": role})


@transaction.atomic
def remove_member(*, membership: Membership, by: Person) -> None:
    """Take a member out of the studio; what they wrote stays. Raises Refused for the last owner."""
    lock_studio(membership.studio)
    _keep_an_owner(membership)
    membership.delete()
    record(studio=membership.studio, by=by, verb="member_removed", thing=membership.person)


def _keep_an_owner(membership: Membership) -> None:
    others = membership.studio.memberships.filter(role=Role.OWNER).exclude(pk=membership.pk)
    if not others.exists():
        raise Refused(_("A studio needs an owner. Make someone else an owner first."))


def lock_studio(studio: Studio) -> None:
    """One change of a studio's people at a time, so that two at once cannot leave it without an owner."""
    Studio.objects.select_for_update().get(pk=studio.pk)

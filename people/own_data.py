"""What is kept about a person of a studio: the account, the roles, invitations, sessions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.apps import apps
from django.contrib.auth import SESSION_KEY
from django.db import models, transaction
from django.utils import formats, timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from people import personal_data
from people.actions import Refused, lock_studio
from people.audit import record
from people.languages import language_name
from people.models import Invitation, Membership, Person, Role, Studio
from people.personal_data import Exported, Kept, Line
from people.traces import forget_jobs, forget_sessions

_lazy = gettext_lazy


def kinds() -> list[Kept]:
    """What this app keeps; the account comes first and so goes last."""
    return [
        Kept("account", Person, _lazy("Your account"), _account, _export_account, _erase_account),
        Kept("studios", Person, _lazy("Your studios"), _studios, _export_studios, _erase_studios),
        Kept("invitations", Person, _lazy("Invitations to you"), _invitations, _export_invitations, _erase_invitations),
        Kept("signed", Person, _lazy("Your name beside what you did"), _signed, _export_signed, _erase_nothing),
        Kept("traces", Person, "", _nothing, lambda person: Exported(None), _erase_traces),
    ]


def _nothing(_subject: Any) -> Sequence[Line]:
    return ()


def _erase_nothing(_subject: Any) -> None:
    """It goes with the account."""


def _day(at: Any) -> str:
    return formats.date_format(timezone.localtime(at).date(), "j F Y")


# the account


def _account(person: Person) -> list[Line]:
    return [
        Line(_("E-mail"), person.email),
        Line(_("Name"), person.name),
        Line(_("Units"), person.get_units_display()),
        Line(_("Language"), language_name(person.language)),
        Line(_("Joined"), _day(person.joined)),
        *([Line(_("Last signed in"), _day(person.last_login))] if person.last_login else []),
    ]


def _export_account(person: Person) -> Exported:
    fields = ("ref", "email", "name", "units", "language", "joined", "last_login")
    return Exported({name: getattr(person, name) for name in fields})


def _erase_account(person: Person) -> None:
    person.delete()


# studios: one that nobody else belongs to goes with its only owner


def _studios(person: Person) -> list[Line]:
    members = person.memberships.select_related("studio").order_by("studio__name")
    return [Line(str(one.studio), one.get_role_display()) for one in members]


def _export_studios(person: Person) -> Exported:
    members = person.memberships.select_related("studio")
    return Exported([{"studio": str(one.studio), "role": one.role, "since": one.since} for one in members])


def own_studios(person: Person) -> list[Studio]:
    """The studios that nobody else belongs to."""
    mine = Studio.objects.filter(memberships__person=person)
    return [studio for studio in mine if not studio.memberships.exclude(person=person).exists()]


def _erase_studios(person: Person) -> None:
    for studio in own_studios(person):
        personal_data.erase(studio)
        studio.delete()


# invitations


def _invited(person: Person) -> models.QuerySet[Invitation]:
    return Invitation.objects.filter(email__iexact=person.email).select_related("studio")


def _invitations(person: Person) -> list[Line]:
    return [Line(str(one.studio), f"{one.get_role_display()}, {_day(one.created)}") for one in _invited(person)]


def _export_invitations(person: Person) -> Exported:
    return Exported([{"studio": str(one.studio), "role": one.role, "sent": one.created} for one in _invited(person)])


def _erase_invitations(person: Person) -> None:
    _invited(person).delete()


# what a person signed, in whatever app: the work stays with the studio, the name goes with the account


def _signed_fields() -> list[models.ForeignKey]:
    return [
        field
        for model in apps.get_models()
        for field in model._meta.get_fields()
        if isinstance(field, models.ForeignKey)
        and field.related_model is Person
        and field.remote_field.on_delete is models.SET_NULL
    ]


def _counts(person: Person) -> dict[str, int]:
    found: dict[str, int] = {}
    for field in _signed_fields():
        count = field.model._default_manager.filter(**{field.name: person}).count()
        name = str(field.model._meta.verbose_name)
        if count:
            found[name] = found.get(name, 0) + count
    return found


def _signed(person: Person) -> list[Line]:
    count = sum(_counts(person).values())
    said = ngettext("%(n)s thing; it stays with the studio", "%(n)s things; they stay with the studio", count)
    return [Line(_("Signed by you"), said % {"n": count})] if count else []


def _export_signed(person: Person) -> Exported:
    return Exported(_counts(person))


# sessions and jobs


def _erase_traces(person: Person) -> None:
    forget_sessions(SESSION_KEY, [person.pk])
    forget_jobs([person.ref])


@transaction.atomic
def erase_person(*, person: Person) -> None:
    """Erase an account with all that only it holds. Raises Refused where a studio would be left without an owner."""
    for membership in Membership.objects.filter(person=person, role=Role.OWNER).select_related("studio"):
        lock_studio(membership.studio)
        others = membership.studio.memberships.exclude(person=person)
        if others.exists() and not others.filter(role=Role.OWNER).exists():
            said = _("You are the only owner of %(studio)s, and others work there. Make someone else an owner first.")
            raise Refused(said % {"studio": membership.studio})
    for membership in Membership.objects.filter(person=person).select_related("studio"):
        record(studio=membership.studio, by=person, verb="account_erased", thing=person)
    personal_data.erase(person)

"""The sign-offs of a version's sizes: where each size stands, who may sign, and whether the seals hold."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from people.models import AuditEntry, Membership, Person, Role, Studio
from releases.models import SignOffState, SizeSignOff, Version
from releases.seals import Kept, Tampered, sealing_key, verify

STANDS = frozenset({SignOffState.SIGNED, SignOffState.NOTED})
UNREAD = gettext_lazy("unread")
# The verbs of the trail that keep a seal.
VERBS = {state: f"size_{state}" for state in SignOffState.values}


def standing(version: Version) -> dict[str, SizeSignOff]:
    """{size: its newest sign-off}; a size that is missing is unread. One query."""
    return {row.size: row for row in version.sign_offs.select_related("by").order_by("number")}


def state_words(row: SizeSignOff | None) -> str:
    return str(UNREAD if row is None else row.get_state_display())


@dataclass(frozen=True)
class Signer:
    """Whether a person may sign sizes of a studio, and why in a sentence."""

    may: bool
    says: str


def signer(studio: Studio, person: Person) -> Signer:
    """A reviewer signs, where the studio has one; else its owner does. A designer never signs own work."""
    roles = dict(Membership.objects.filter(studio=studio).values_list("person_id", "role"))
    role, reviewed = roles.get(person.pk), Role.REVIEWER in roles.values()
    if role == Role.REVIEWER:
        return Signer(True, _("You sign as the reviewer."))
    if role == Role.OWNER and not reviewed:
        return Signer(True, _("The studio has no reviewer, so you sign as its owner: nobody else looked."))
    if reviewed:
        return Signer(False, _("The studio’s reviewer signs: somebody who did not draft it."))
    return Signer(False, _("The studio has no reviewer: its owner signs, or invites one."))


def key() -> bytes:
    return sealing_key(settings.SIGN_OFF_KEY or settings.SECRET_KEY)


def as_row(row: SizeSignOff) -> dict[str, Any]:
    """All columns as they are sealed. `by` is the person that the row names, and must be who `by_ref` says."""
    named = row.by.ref if row.by else ""
    if not named and row.by_ref and not Person.objects.filter(ref=row.by_ref).exists():
        named = row.by_ref
    return {
        "id": row.pk,
        "ref": row.ref,
        "studio": row.studio.ref,
        "number": row.number,
        "version": row.version.ref,
        "version_number": row.version_number,
        "size": row.size,
        "state": row.state,
        "note": row.note,
        "saw": json.loads(json.dumps(row.saw)),
        "by": named,
        "by_ref": row.by_ref,
        "at": row.at.astimezone(UTC).isoformat(),
        "before": row.before,
        "seal": row.seal,
    }


@dataclass(frozen=True)
class Verified:
    """What became of a studio's sign-offs: how many there are, and those that are not as they were sealed."""

    studio: Studio
    count: int
    found: tuple[Tampered, ...]


def verify_studio(studio: Studio) -> Verified:
    rows = studio.sign_offs.select_related("studio", "version", "by").order_by("number", "pk")
    found = verify([as_row(row) for row in rows], _trail(studio), key())
    numbers = dict(Version.objects.filter(pattern__studio=studio).values_list("ref", "number"))
    return Verified(studio, len(rows), tuple(_with_number(one, numbers) for one in found))


def _trail(studio: Studio) -> Iterable[Kept]:
    entries = AuditEntry.objects.filter(studio_ref=studio.ref, verb__in=VERBS.values()).order_by("id")
    for entry in entries:
        ref, number, version, *size = entry.object_ref.split(" ", 3)
        yield Kept(ref, int(number), version, entry.digest, *size)


def _with_number(one: Tampered, numbers: Mapping[str, str]) -> Tampered:
    """A row that is gone is told by the number of its version."""
    if one.what != "deleted":
        return one
    return Tampered(one.what, one.number, one.ref, numbers.get(one.version, ""), one.size)

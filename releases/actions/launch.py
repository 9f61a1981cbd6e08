"""From testing to the shop: cleared, on sale, withdrawn; and the words that let a check go."""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext as _

from people.audit import record
from people.models import Membership, Person, Role
from releases.actions.refused import Refused
from releases.launch import READY_FOR, gate_of
from releases.models import LaunchWord, Version, VersionState


@transaction.atomic
def override_check(*, version: Version, key: str, reason: str, by: Person) -> LaunchWord:
    """The owner lets a failing check go, with a reason; it holds while the check says the same."""
    if not Membership.objects.filter(studio=version.pattern.studio, person=by, role=Role.OWNER).exists():
        raise Refused(_("Only an owner of the studio may let a check go."))
    found = gate_of(version).check(key)
    if found is None or found.passes:
        raise Refused(_("This check passes: there is nothing to let go."))
    return _word(version, LaunchWord.Kind.OVERRIDE, key, found.content, reason, by, "launch_check_overridden")


@transaction.atomic
def confirm_check(*, version: Version, key: str, by: Person) -> LaunchWord:
    """A person has read again what only a person can; it holds until what was read changes."""
    found = gate_of(version).check(key)
    if found is None or found.check.about is None:
        raise Refused(_("There is nothing to confirm."))
    if found.word:
        return found.word
    about = found.check.about(version)
    return _word(version, LaunchWord.Kind.READ, key, about, str(found.check.confirm), by, "launch_check_read")


@transaction.atomic
def clear_version(*, version: Version, by: Person) -> None:
    """Every check passes or was let go: the version is cleared, and stays as it is. Raises Refused."""
    held = _held(version)
    if held.state == VersionState.CLEARED:
        return
    if held.state not in READY_FOR:
        raise Refused(_("Only a version in draft or in testing can be cleared."))
    _gate(held)
    _become(held, VersionState.CLEARED, by, "version_cleared")


@transaction.atomic
def put_on_sale(*, version: Version, by: Person) -> None:
    """A cleared version goes on sale, if the checks still pass. Raises Refused."""
    held = _held(version)
    if held.state == VersionState.ON_SALE:
        return
    if held.state != VersionState.CLEARED:
        raise Refused(_("It is not cleared yet."))
    _gate(held)
    _become(held, VersionState.ON_SALE, by, "version_on_sale")


@transaction.atomic
def withdraw_version(*, version: Version, reason: str, by: Person) -> None:
    """A version that was tested, cleared or sold is withdrawn, with the reason; it is never deleted."""
    held = _held(version)
    if held.state == VersionState.WITHDRAWN:
        return
    if held.is_draft:
        raise Refused(_("A draft is not out yet: there is nothing to withdraw."))
    _word(held, LaunchWord.Kind.WITHDRAWN, "", "", reason, by, "version_withdrawal_reasoned")
    _become(held, VersionState.WITHDRAWN, by, "version_withdrawn")


def _held(version: Version) -> Version:
    return Version.objects.select_for_update(of=["self"]).select_related("pattern__studio").get(pk=version.pk)


def _gate(version: Version) -> None:
    left = gate_of(version).in_the_way
    if left:
        first = str(left[0].check.title)
        raise Refused(_("It does not pass yet: “%(check)s”.") % {"check": first})


def _become(version: Version, state: str, by: Person, verb: str) -> None:
    version.state = state
    version.save(update_fields=["state"])
    record(studio=version.pattern.studio, by=by, verb=verb, thing=version)


def _word(version: Version, kind: str, key: str, content: str, reason: str, by: Person, verb: str) -> LaunchWord:
    reason = reason.strip()[:300]
    if not reason:
        raise Refused(_("Say why in a few words."))
    word = LaunchWord.objects.create(version=version, kind=kind, check_key=key, content=content, reason=reason, by=by)
    record(studio=version.pattern.studio, by=by, verb=verb, thing=version, content=[kind, key, content, reason])
    return word

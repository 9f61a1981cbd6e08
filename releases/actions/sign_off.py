"""Words on sizes: signed, held, lapsed, withdrawn. Each is a row of its own, sealed over what it saw."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from people.audit import record
from people.models import Person, Studio
from releases.actions.refused import Refused
from releases.models import SignOffState, SizeSignOff, Version
from releases.seals import seal
from releases.sign_offs import STANDS, VERBS, as_row, key, signer, standing

NEEDS_NOTE = frozenset({SignOffState.NOTED, SignOffState.HELD, SignOffState.WITHDRAWN})


@transaction.atomic
def sign_size(
    *, version: Version, size: str, state: str, note: str, saw: Mapping[str, Any], met: bool, by: Person
) -> SizeSignOff:
    """Sign a size, sign it with a note, or hold it.

    `saw` is what the page showed (JSON: digests and conditions), `met` whether every condition is: else a plain
    signature is refused and a note must say why it may go. The same word twice, as by a double tap, is one row.
    """
    held = _held(version.pattern.studio)
    may = signer(held, by)
    if not may.may:
        raise Refused(may.says)
    if state == SignOffState.SIGNED and not met:
        raise Refused(_("Not every condition is met: sign with a note that says why it may go, or hold it."))
    return _say(held, version, size, state, note, saw, by)


@transaction.atomic
def withdraw_size(*, version: Version, size: str, reason: str, by: Person) -> SizeSignOff:
    """Leave a size out of what is sold: the rest may launch without it. Signing it later takes it in again."""
    return _say(_held(version.pattern.studio), version, size, SignOffState.WITHDRAWN, reason, {}, by)


def lapse(*, version: Version, sizes: Iterable[str], why: str, by: Person | None) -> list[SizeSignOff]:
    """Signed sizes that a change touched are to be read again. Call within the transaction of the change."""
    signed = standing(version)
    touched = [size for size in sizes if size in signed and signed[size].state in STANDS]
    if not touched:
        return []
    held = _held(version.pattern.studio)
    return [_add(held, version, size, SignOffState.LAPSED, why, {}, by) for size in touched]


def carry_sign_offs(*, version: Version, copied: Version, touched: Iterable[str]) -> None:
    """A version with the numbers of another keeps its signatures, but for the sizes that differ. In a transaction."""
    left = {
        size: row
        for size, row in standing(copied).items()
        if row.state in STANDS and size in version.sizes and size not in set(touched)
    }
    if left:
        held = _held(version.pattern.studio)
        for size, row in left.items():
            saw = {**row.saw, "carried": {"version": copied.number, "sign_off": row.ref}}
            _add(held, version, size, row.state, row.note, saw, row.by)


def _held(studio: Studio) -> Studio:
    """Its sign-offs are numbered one after another."""
    return Studio.objects.select_for_update().get(pk=studio.pk)


def _say(
    studio: Studio, version: Version, size: str, state: str, note: str, saw: Mapping[str, Any], by: Person
) -> SizeSignOff:
    note = note.strip()
    if size not in version.sizes:
        raise Refused(_("The version has no size %(size)s.") % {"size": size})
    if state in NEEDS_NOTE and not note:
        raise Refused(_("Say why in a few words."))
    last = standing(version).get(size)
    if last and (last.state, last.note, last.saw, last.by_ref) == (state, note, dict(saw), by.ref):
        return last
    return _add(studio, version, size, state, note, saw, by)


def _add(
    studio: Studio, version: Version, size: str, state: str, note: str, saw: Mapping[str, Any], by: Person | None
) -> SizeSignOff:
    """One more row at the end of the studio's chain, sealed, and its seal told to the trail."""
    last = studio.sign_offs.order_by("-number").first()
    row = SizeSignOff.objects.create(
        studio=studio,
        number=last.number + 1 if last else 1,
        version=version,
        version_number=version.number,
        size=size,
        state=state,
        note=note,
        saw=dict(saw),
        by=by,
        by_ref=by.ref if by else "",
        at=timezone.now(),
        before=last.seal if last else "",
    )
    row.seal = seal(as_row(row), key())
    row.save(update_fields=["seal"])
    # As much of a long size label as an entry takes.
    thing = f"{row.ref} {row.number} {version.ref} {size}"[:40].strip()
    record(studio=studio, by=by, verb=VERBS[state], thing=thing, content=[row.number, row.seal])
    return row

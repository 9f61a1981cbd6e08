"""What a change leaves behind is marked with it, and cleared by what does it anew or by a stated reason."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from people.audit import record
from people.models import Person
from releases.actions.refused import Refused
from releases.actions.sign_off import lapse
from releases.models import FileKind, PatternFile, Stale, Version
from releases.registry import stale_rules
from releases.stale import SETTLES, Change, Deed, Mark, Touched, made_stale
from releases.stale_store import as_stored, has_of, named


def note_change(*, version: Version, change: Change, by: Person | None) -> None:
    """Mark what the change leaves behind, and lapse the sign-offs of the sizes that it touches.

    Call within the transaction of the change, after it was written. Other apps call it for what they keep of a
    version, such as notions.
    """
    if not change.touched:
        return
    others = [mark for rule in stale_rules() for mark in rule(version, change)]
    for what, marks in _by_what([*made_stale(change, has_of(version)), *others]).items():
        _mark(version, what, marks, by)
    if change.kind != "file":
        why = _("Changed since: %(what)s.") % {"what": named(change.touched)}
        lapse(version=version, sizes=change.unsigns, why=why, by=by)


def _by_what(marks: Iterable[Mark]) -> dict[str, list[Mark]]:
    found: dict[str, list[Mark]] = {}
    for mark in marks:
        found.setdefault(mark.what, []).append(mark)
    return found


def _mark(version: Version, what: str, marks: Sequence[Mark], by: Person | None) -> None:
    """One open mark a thing: further changes add their sentences and sizes to it."""
    mark, _made = Stale.objects.get_or_create(
        version=version, what=what, cleared_at=None, defaults={"since": timezone.now()}
    )
    told = [as_stored(one) for one in marks]
    mark.why = [*mark.why, *(one for one in told if one not in mark.why)]
    _write(mark, version)
    record(studio=version.pattern.studio, by=by, verb="made_stale", thing=mark, content=told)


def _write(mark: Stale, version: Version) -> None:
    touched = {size for why in mark.why for size in why["sizes"]}
    mark.sizes = [size for size in version.sizes if size in touched]
    mark.since = timezone.now()
    mark.save()


def done_anew(*, version: Version, deed: Deed, by: Person | None) -> None:
    """Something was done anew: the sentences that it settles go, and a mark that has none left is cleared."""
    for mark in Stale.objects.select_for_update().filter(version=version, cleared_at=None):
        left = [why for why in mark.why if SETTLES[why["code"]] != deed]
        if not left:
            _clear(mark, Stale.Cleared.DONE, "", by)
        elif left != mark.why:
            mark.why = left
            _write(mark, version)


@transaction.atomic
def clear_with_reason(*, mark: Stale, reason: str, by: Person) -> None:
    """Say what was done, or why it may stay. Raises Refused without a word."""
    if not reason.strip():
        raise Refused(_("Say what was done, or why it may stay."))
    held = Stale.objects.select_for_update().get(pk=mark.pk)
    if held.cleared_at is None:
        _clear(held, Stale.Cleared.REASON, reason.strip()[:300], by)


def _clear(mark: Stale, how: str, reason: str, by: Person | None) -> None:
    mark.cleared, mark.reason, mark.cleared_by, mark.cleared_at = how, reason, by, timezone.now()
    mark.save()
    record(studio=mark.version.pattern.studio, by=by, verb="stale_cleared", thing=mark, content=[how, reason])


def file_came(*, file: PatternFile, replaced: PatternFile | None, by: Person) -> None:
    """A file is there: a booklet settles its text; the pages are settled once every kind was drawn anew.

    One that takes the place of another after sizes were signed is compared with it; until then it is a mark.
    """
    from releases.file_comparisons import ask_for_pair
    from releases.sign_offs import STANDS, standing

    version: Any = file.version
    if file.kind == FileKind.BOOKLET:
        done_anew(version=version, deed="booklet", by=by)
        return
    mark = version.stale_marks.filter(what="pages", cleared_at=None).first()
    if mark and _all_drawn_since(version, mark):
        done_anew(version=version, deed="files", by=by)
    signed = [size for size, row in standing(version).items() if row.state in STANDS]
    if replaced and replaced.digest != file.digest and signed:
        touched = (Touched(file.ref, file.name, tuple(signed)),)
        note_change(version=version, change=Change("file", touched), by=by)
        ask_for_pair(replaced, file)


def _all_drawn_since(version: Version, mark: Stale) -> bool:
    """Whether each kind of file to print, of this version or the one before, was added after the mark."""
    from releases.file_comparisons import version_before

    before = version_before(version)
    files = [*version.current_files(), *(before.current_files() if before else ())]
    kinds = {file.kind for file in files} - {FileKind.BOOKLET}
    return kinds <= {file.kind for file in version.current_files() if file.added > mark.since}

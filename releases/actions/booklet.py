from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import IO, Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from people.audit import record
from people.models import Person
from people.refs import new_ref
from releases.actions.patterns import stored
from releases.actions.stale import note_change
from releases.booklet import ALLOWANCES
from releases.models import Notion, PieceNote, StepShown, Version
from releases.stale import Change, Touched

WORDS = ("suits", "unsuited", "printing")
FOLDER = "steps"


@transaction.atomic
def write_booklet(*, version: Version, fields: Mapping[str, Any], by: Person) -> None:
    """Write the parts of a booklet that `fields` has.

    suits, unsuited, printing: texts. seam_allowance, hem, notch, lining_offset: Length or None. notions: a list of
    {kind, name, amount, optional} in their order. pieces: a list of {piece, material, drawing, differs}.
    """
    held = Version.objects.select_for_update().get(pk=version.pk)
    before = _notions(held)
    for name in WORDS:
        setattr(held, name, fields.get(name, getattr(held, name)))
    for name in ALLOWANCES:
        if name in fields:
            mm, typed = stored(fields[name])
            setattr(held, f"{name}_mm", mm)
            setattr(held, f"{name}_typed", typed)
    held.save()
    if "notions" in fields:
        _write_notions(held, fields["notions"])
    if "pieces" in fields:
        held.piece_notes.all().delete()
        PieceNote.objects.bulk_create(
            PieceNote(version=held, **one) for one in fields["pieces"] if one["drawing"] or one["differs"]
        )
    record(studio=version.pattern.studio, by=by, verb="booklet_written", thing=version, content=repr(dict(fields)))
    touched = tuple(_touched(before, _notions(held)))
    note_change(version=held, change=Change("notions", touched), by=by)


def _write_notions(version: Version, notions: Sequence[Mapping[str, Any]]) -> None:
    version.notions.all().delete()
    Notion.objects.bulk_create(Notion(version=version, number=i, **one) for i, one in enumerate(notions, start=1))


def _notions(version: Version) -> dict[str, tuple[object, ...]]:
    return {row.name: (row.kind, row.amount, row.optional) for row in Notion.objects.filter(version=version)}


def _touched(before: Mapping[str, object], now: Mapping[str, object]) -> list[Touched]:
    """The notions that read otherwise, came or went; the first ones touch nothing."""
    names = {*before, *now} if before else set()
    return [Touched(name, name) for name in sorted(names) if before.get(name) != now.get(name)]


def show_step(
    *, version: Version, number: int, fields: Mapping[str, Any], picture: IO[bytes] | None, size: int = 0, by: Person
) -> StepShown:
    """Write what stands beside a step: `fields` has picture_says, lesson_url, lesson_seconds, remove_picture.

    A picture of `size` bytes is read and written anew first. Raises picture_work.PhotoError for a file that is none.
    """
    from releases.picture_work import inspect_photo, make_photo

    names: dict[str, Any] = {}
    if picture is not None:
        inspect_photo(picture, size)
        made = make_photo(picture)
        stem = f"{FOLDER}/{version.pattern.studio.ref}/{new_ref()}"
        names = {
            "picture": default_storage.save(f"{stem}-large.jpg", ContentFile(made.large)),
            "small": default_storage.save(f"{stem}-small.jpg", ContentFile(made.small)),
            "width": made.width,
            "height": made.height,
        }
    elif fields.get("remove_picture"):
        names = {"picture": "", "small": "", "width": None, "height": None}
    with transaction.atomic():
        Version.objects.select_for_update().get(pk=version.pk)
        shown, _made = StepShown.objects.get_or_create(version=version, number=number)
        gone = [shown.picture, shown.small] if names else []
        words = {name: fields[name] for name in ("picture_says", "lesson_url", "lesson_seconds")}
        for name, value in {**words, **names}.items():
            setattr(shown, name, value)
        shown.save()
        record(studio=version.pattern.studio, by=by, verb="step_shown", thing=version, content=[number, repr(words)])
        forget_pictures(gone)
        touched = (Touched(str(number), _("step %(number)s") % {"number": number}),)
        note_change(version=version, change=Change("notions", touched), by=by)
    return shown


def forget_pictures(names: Sequence[str]) -> None:
    """Remove stored pictures once the rows are gone for good, unless another version still shows them."""

    def forget() -> None:
        for name in names:
            if name and not StepShown.objects.filter(Q(picture=name) | Q(small=name)).exists():
                default_storage.delete(name)

    transaction.on_commit(forget, robust=True)


def copy_booklet(version: Version, copied: Version) -> None:
    """Give a version the booklet's parts of another; within the transaction that makes it. Pictures are shared."""
    for name in (*WORDS, *(f"{name}_{end}" for name in ALLOWANCES for end in ("mm", "typed"))):
        setattr(version, name, getattr(copied, name))
    version.save()
    for rows in (copied.notions.all(), copied.piece_notes.all()):
        for row in rows:
            row.pk, row.version = None, version
            row.save()


def copy_shown(version: Version, copied: Version) -> None:
    """Take over what stands beside the steps, where the steps themselves are taken over."""
    for row in copied.steps_shown.all():
        row.pk, row.ref, row.version = None, new_ref(), version
        row.save()


def keep_with_steps(version: Version, before: Mapping[int, str], now: Mapping[int, str]) -> None:
    """After the steps were written anew: what stood beside a step follows its text to its new number.

    A step whose text changed keeps what its number had; what belongs to no step any more goes.
    """
    rows = {row.number: row for row in version.steps_shown.all()}
    if not rows:
        return
    by_text = {text: number for number, text in now.items()}
    wanted = {old: by_text.get(before.get(old, ""), old if old in now else None) for old in rows}
    exact = {new for old, new in wanted.items() if new is not None and now[new] == before.get(old)}
    gone = [old for old, new in wanted.items() if new is None or (new in exact and now[new] != before.get(old))]
    version.steps_shown.filter(number__in=gone).delete()
    moving = [(rows[old], new) for old, new in wanted.items() if old not in gone and new is not None and new != old]
    # Out of the way first, so that two that change places do not meet.
    for far, (row, _new) in enumerate(moving, start=20_000):
        StepShown.objects.filter(pk=row.pk).update(number=far)
    for row, new in moving:
        StepShown.objects.filter(pk=row.pk).update(number=new)

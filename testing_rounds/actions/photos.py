"""Photos of a toile: taken in, prepared by a job, taken out again."""

from __future__ import annotations

import hashlib
import logging
from functools import partial
from typing import IO, TYPE_CHECKING

from django.conf import settings
from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from people import audit
from people.models import ConsentKind
from people.refs import new_ref
from testing_rounds.actions.touch import touch_round
from testing_rounds.actions.visits import studio_of
from testing_rounds.consents import allows
from testing_rounds.models import FitReport, Photo, PhotoState, Place

if TYPE_CHECKING:
    from testing_rounds.photo_edits import Edits
    from testing_rounds.photo_work import MadePhoto

log = logging.getLogger(__name__)

# Nothing is wrong with the photo: preparing it failed on our side, and can be tried again.
UNPREPARED = "unprepared"


class PhotoRefused(Exception):  # noqa: N818  (it reads as what happened)
    """A photo that is not taken in; `sentence` tells the tester why."""

    def __init__(self, sentence: str | Promise) -> None:
        super().__init__(str(sentence))
        self.sentence = str(sentence)


def full() -> PhotoRefused:
    """There is no room for another photo."""
    said = _("There are %(most)s photos already. Take one out before you add another.")
    return PhotoRefused(said % {"most": settings.PHOTOS_PER_REPORT})


def add_photo(*, place: Place, view: str, source: IO[bytes], size: int, upload_key: str = "") -> Photo:
    """Take a photo in and let a job prepare it. The same upload twice is one photo.

    `upload_key` is the phone's name for this upload; without one the content names it. Raises PhotoRefused, and
    photo_work.PhotoError for a file that is no photo.
    """
    from testing_rounds.photo_work import inspect_photo

    if place.round.version.pattern.for_children:
        raise PhotoRefused(_("Children’s sizes: size and age only, no child photos."))
    if not allows(place, ConsentKind.PHOTOS):
        raise PhotoRefused(_("Allow photos first; then they can be added."))
    key = upload_key or _digest(source)
    known = Photo.objects.filter(report__place=place, upload_key=key).first()
    if known is not None:
        return known
    inspect_photo(source, size)
    photo = Photo(ref=new_ref(), view=view, upload_key=key)
    source.seek(0)
    photo.incoming = default_storage.save(f"photos/{place.ref}/{photo.ref}-incoming", File(source))
    try:
        kept = _keep(place, photo)
    except BaseException:
        default_storage.delete(photo.incoming)
        raise
    if kept.ref != photo.ref:
        default_storage.delete(photo.incoming)
    return kept


@transaction.atomic
def _keep(place: Place, photo: Photo) -> Photo:
    from testing_rounds.actions.reports import open_report, ready_for_words
    from testing_rounds.jobs import prepare_photo

    place = ready_for_words(place)
    report = open_report(place)
    known = report.photos.filter(upload_key=photo.upload_key).first()
    if known is not None:
        return known
    if report.photos.count() >= settings.PHOTOS_PER_REPORT:
        raise full()
    photo.report = report
    photo.save()
    _changed(report)
    audit.record(studio=studio_of(place), by=place, verb="photo_added", thing=photo)
    prepare_photo.enqueue(photo.ref)
    return photo


def make_ready(ref: str) -> None:
    """The job: write the two sizes, drop what they were made of. Run twice it does nothing the second time."""
    from testing_rounds.photo_work import PhotoError

    photo = Photo.objects.select_related("report__place").filter(ref=ref, state=PhotoState.WAITING).first()
    if photo is None:
        return
    try:
        made = _made(photo)
        stem = f"photos/{photo.report.place.ref}/{photo.ref}"
        large = default_storage.save(f"{stem}-large.jpg", ContentFile(made.large))
        small = default_storage.save(f"{stem}-small.jpg", ContentFile(made.small))
    except PhotoError as error:
        _fail(photo, error.code)
        return
    except Exception:
        log.exception("A photo could not be prepared.")
        _fail(photo, UNPREPARED)
        return
    _settle(photo, large=large, small=small, width=made.width, height=made.height, state=PhotoState.READY)


def _made(photo: Photo) -> MadePhoto:
    """Both sizes: of what came in, or of the large picture with the changes that wait."""
    from testing_rounds.photo_edits import read_edits
    from testing_rounds.photo_work import change_photo, make_photo

    with default_storage.open(photo.incoming or photo.large) as source:
        return make_photo(source) if photo.incoming else change_photo(source, read_edits(photo.edits))


def _settle(photo: Photo, **fields: object) -> None:
    """Write the outcome, if the photo still waits for one; else drop what was made for nothing."""
    with transaction.atomic():
        waiting = Photo.objects.filter(pk=photo.pk, state=PhotoState.WAITING)
        if waiting.update(incoming="", trouble="", edits=None, **fields):
            _delete_files(photo.incoming, photo.large, photo.small)
            _changed(photo.report)
            return
    _delete_files(str(fields.get("large", "")), str(fields.get("small", "")))


def _fail(photo: Photo, code: str) -> None:
    keep = photo.incoming if code == UNPREPARED else ""
    with transaction.atomic():
        waiting = Photo.objects.filter(pk=photo.pk, state=PhotoState.WAITING)
        if waiting.update(state=PhotoState.FAILED, trouble=code, incoming=keep) and not keep:
            _delete_files(photo.incoming)


@transaction.atomic
def edit_photo(*, photo: Photo, edits: Edits) -> bool:
    """Turn, crop, cover: the photo is hidden from everybody at once and comes back changed; what it was made of goes.

    False for one that is not ready: a change is under way already.
    """
    from testing_rounds.actions.summaries import forget_summaries
    from testing_rounds.actions.uses import recall
    from testing_rounds.jobs import prepare_photo

    ready = Photo.objects.filter(pk=photo.pk, state=PhotoState.READY)
    if not ready.update(state=PhotoState.WAITING, edits=edits.as_dict(), added=timezone.now()):
        return False
    place = photo.report.place
    recall(place, photo)
    forget_summaries(round_id=place.round_id)
    audit.record(studio=studio_of(place), by=place, verb="photo_changed", thing=photo)
    _changed(photo.report)
    prepare_photo.enqueue(photo.ref)
    return True


@transaction.atomic
def try_again(*, photo: Photo) -> bool:
    """Prepare once more a photo whose upload or change is still here. False where there is nothing to prepare."""
    from testing_rounds.jobs import prepare_photo

    held = Photo.objects.filter(pk=photo.pk).filter(~Q(incoming="") | Q(edits__isnull=False))
    if not held.exclude(state=PhotoState.READY).update(state=PhotoState.WAITING, trouble=""):
        return False
    prepare_photo.enqueue(photo.ref)
    return True


@transaction.atomic
def remove_photo(*, photo: Photo) -> None:
    """Take a photo out for good: the row now, its files as soon as that is written."""
    from testing_rounds.actions.summaries import forget_summaries
    from testing_rounds.actions.uses import recall

    place = photo.report.place
    recall(place, photo)
    audit.record(studio=studio_of(place), by=place, verb="photo_removed", thing=photo)
    forget_summaries(round_id=place.round_id)
    Photo.objects.filter(pk=photo.pk).delete()  # its files go with the row, whichever way that goes
    _changed(photo.report)


@transaction.atomic
def name_view(*, photo: Photo, view: str) -> None:
    """Say which view a photo shows."""
    if view != photo.view:
        Photo.objects.filter(pk=photo.pk).update(view=view)
        _changed(photo.report)


def photos_of(place: Place) -> list[Photo]:
    return list(Photo.objects.filter(report__place=place, report__stage=place.stage).select_related("report"))


def _changed(report: FitReport) -> None:
    if report.submitted_at:
        touch_round(report.place.round_id)


def _delete_files(*names: str) -> None:
    """Files that no row names any more go when the change is written."""
    for name in names:
        if name:
            transaction.on_commit(partial(default_storage.delete, name), robust=True)


def _digest(source: IO[bytes]) -> str:
    source.seek(0)
    found = hashlib.sha256()
    while block := source.read(1 << 20):
        found.update(block)
    return found.hexdigest()

"""Photos that come in parts: begun, begun again where the line dropped, taken in when all parts are there."""

from __future__ import annotations

import hashlib
from typing import IO, cast

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from people.arriving import whole
from people.models import ConsentKind
from testing_rounds.actions.photos import PhotoRefused, add_photo, full
from testing_rounds.actions.reports import ready_for_words
from testing_rounds.consents import allows
from testing_rounds.models import ArrivingPhoto, Photo, Place


@transaction.atomic
def begin_photo(*, place: Place, view: str, size: int, told: tuple[str, ...]) -> ArrivingPhoto | Photo:
    """The upload of a photo: a new one, the one that was begun, or the photo itself where it has arrived before.

    `told` is what the phone knows of the file (its name, its time, what was changed): with view and size it tells
    the same photo again; only its digest is kept. Raises PhotoRefused and photo_work.PhotoError.
    """
    from testing_rounds.photo_work import EMPTY, TOO_HEAVY, PhotoError

    if place.round.version.pattern.for_children:
        raise PhotoRefused(_("Children’s sizes: size and age only, no child photos."))
    if not allows(place, ConsentKind.PHOTOS):
        raise PhotoRefused(_("Allow photos first; then they can be added."))
    if not 0 < size <= settings.PHOTO_BYTES:
        raise PhotoError(TOO_HEAVY if size else EMPTY)
    stage, place = place.stage, ready_for_words(place)
    mark = hashlib.sha256("\0".join((place.ref, stage, view, str(size), *told)).encode()).hexdigest()
    known = Photo.objects.filter(report__place=place, upload_key=mark).first()
    begun = known or ArrivingPhoto.objects.filter(place=place, mark=mark).first()
    if begun is not None:
        return begun
    held = Photo.objects.filter(report__place=place, report__stage=stage).count()
    if held + ArrivingPhoto.objects.filter(place=place, stage=stage).count() >= settings.PHOTOS_PER_REPORT:
        raise full()
    return ArrivingPhoto.objects.create(place=place, stage=stage, view=view, mark=mark, size_bytes=size)


def finish_photo(*, arriving: ArrivingPhoto, place: Place) -> Photo:
    """Take in a photo whose parts are all there. Its parts go, also where it is refused: PhotoRefused, PhotoError."""
    try:
        with whole(arriving, name="photo", kind="application/octet-stream") as upload:
            return add_photo(
                place=place,
                view=arriving.view,
                source=cast(IO[bytes], upload.file),
                size=arriving.size_bytes,
                upload_key=arriving.mark,
            )
    finally:
        arriving.delete()

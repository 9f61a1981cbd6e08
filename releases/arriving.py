"""Uploads in parts: each part is stored as it comes, so that a dropped line loses no more than the part it cut.

The parts lie in the file store, where every web process finds them. A part that comes twice is taken once; one that
does not begin where the last one ended is not taken, and the sender is told where to go on.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import TemporaryUploadedFile
from django.db import transaction

from people.models import Person
from releases.models import ArrivingFile, PatternFile, Version

FOLDER = "arriving"


class TooManyError(Exception):
    """So many files are on their way from one person that something is wrong."""


def begin(
    *, version: Version, by: Person, kind: str, name: str, size: int, changed: str, replaces: PatternFile | None
) -> ArrivingFile:
    """The upload of a file: a new one, or the one that this person had begun. Raises TooManyError."""
    told = (name, str(size), changed, kind, replaces.ref if replaces else "")
    mark = hashlib.sha256("\0".join(told).encode()).hexdigest()
    with transaction.atomic():
        Person.objects.select_for_update().get(pk=by.pk)
        known = ArrivingFile.objects.filter(version=version, by=by, mark=mark).first()
        if known:
            return known
        if ArrivingFile.objects.filter(by=by).count() >= settings.UPLOADS_AT_ONCE:
            raise TooManyError
        return ArrivingFile.objects.create(
            version=version, by=by, mark=mark, kind=kind, name=name[:160], size_bytes=size, replaces=replaces
        )


def take_part(arriving: ArrivingFile, offset: int, content: bytes) -> int:
    """Store a part that begins at `offset` of the file. Returns how much is there now: where the next part begins."""
    if offset != arriving.received or not content or offset + len(content) > arriving.size_bytes:
        return arriving.received
    name = f"{FOLDER}/{arriving.version.pattern.studio.ref}/{arriving.ref}-{offset}"
    stored = default_storage.save(name, ContentFile(content))
    try:
        with transaction.atomic():
            held = ArrivingFile.objects.select_for_update().get(pk=arriving.pk)
            if held.received != offset:  # the same part came by another way first
                default_storage.delete(stored)
                return held.received
            held.received, held.parts = offset + len(content), [*held.parts, stored]
            held.save(update_fields=["received", "parts"])
    except BaseException:
        default_storage.delete(stored)
        raise
    return held.received


@contextmanager
def whole(arriving: ArrivingFile) -> Iterator[TemporaryUploadedFile]:
    """All parts put together, as an upload that came at once."""
    with TemporaryUploadedFile(arriving.name, "application/pdf", arriving.size_bytes, None) as upload:
        for part in arriving.parts:
            with default_storage.open(part, "rb") as content:
                for piece in content.chunks():
                    upload.write(piece)
        upload.flush()
        upload.seek(0)
        yield upload


def sweep_arriving(before: datetime) -> int:
    """Drop uploads that nobody finished; their parts go with them. Returns how many."""
    gone = list(ArrivingFile.objects.filter(begun__lt=before))
    for one in gone:
        one.delete()
    return len(gone)

"""Pattern files that come in parts: begun, and begun again where the line dropped."""

from __future__ import annotations

import hashlib

from django.conf import settings
from django.db import transaction

from people.models import Person
from releases.models import ArrivingFile, PatternFile, Version


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

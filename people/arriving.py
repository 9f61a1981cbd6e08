"""Uploads in parts: each part is stored as it comes, so that a dropped line loses no more than the part it cut.

The parts lie in the file store, where every web process finds them. A part that comes twice is taken once; one that
does not begin where the last one ended is not taken, and the sender is told where to go on.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from django.apps import apps
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import TemporaryUploadedFile
from django.db import transaction

from people.models import Arriving

FOLDER = "arriving"


def take_part(arriving: Arriving, offset: int, content: bytes) -> int:
    """Store a part that begins at `offset` of the file. Returns how much is there now: where the next part begins."""
    if offset != arriving.received or not content or offset + len(content) > arriving.size_bytes:
        return arriving.received
    name = f"{FOLDER}/{arriving.part_of}/{arriving.ref}-{offset}"
    stored = default_storage.save(name, ContentFile(content))
    try:
        with transaction.atomic():
            held = type(arriving).objects.select_for_update().filter(pk=arriving.pk).first()  # type: ignore[attr-defined]
            if held is None or held.received != offset:  # it was stopped, or the same part came by another way first
                default_storage.delete(stored)
                return held.received if held else arriving.received
            held.received, held.parts = offset + len(content), [*held.parts, stored]
            held.save(update_fields=["received", "parts"])
    except BaseException:
        default_storage.delete(stored)
        raise
    return int(held.received)


@contextmanager
def whole(arriving: Arriving, *, name: str, kind: str) -> Iterator[TemporaryUploadedFile]:
    """All parts put together, as an upload of that name and content type that came at once."""
    with TemporaryUploadedFile(name, kind, arriving.size_bytes, None) as upload:
        for part in arriving.parts:
            with default_storage.open(part, "rb") as content:
                for piece in content.chunks():
                    upload.write(piece)
        upload.flush()
        upload.seek(0)
        yield upload


def sweep_arriving(model: type[Arriving], before: datetime) -> int:
    """Drop uploads that nobody finished; their parts go with them. Returns how many."""
    gone = list(model.objects.filter(begun__lt=before))  # type: ignore[attr-defined]
    for one in gone:
        one.delete()
    return len(gone)


def sweep_loose_parts(before: datetime) -> list[str]:
    """Remove parts from before that time that no upload names: a process that died between file and row left them.
    Returns their names."""
    models = [model for model in apps.get_models() if issubclass(model, Arriving)]
    named = {
        name for model in models for parts in model._default_manager.values_list("parts", flat=True) for name in parts
    }
    loose = [name for name in _stored() if name not in named and default_storage.get_modified_time(name) < before]
    for name in loose:
        default_storage.delete(name)
    return loose


def _stored() -> Iterator[str]:
    try:
        folders = default_storage.listdir(FOLDER)[0]
    except FileNotFoundError:
        return
    for folder in folders:
        for name in default_storage.listdir(f"{FOLDER}/{folder}")[1]:
            yield f"{FOLDER}/{folder}/{name}"

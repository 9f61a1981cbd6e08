"""The content of pattern files: kept once a studio under its digest, handed out only by a view that asked who reads.

Two uploads of one content share a file. Adding and forgetting hold the studio's row, so that a content is never
removed while another upload comes to rely on it.
"""

from __future__ import annotations

import hashlib
from datetime import datetime

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import transaction
from django.http import FileResponse, Http404
from django.utils.text import get_valid_filename

from people.models import Studio
from releases.models import PatternFile

FOLDER = "files"


def digest_of(upload: File) -> str:
    """The SHA-256 of the content, read in pieces."""
    found = hashlib.sha256()
    upload.seek(0)
    for piece in upload.chunks():
        found.update(piece)
    return found.hexdigest()


def keep(upload: File, *, studio: Studio, digest: str) -> str:
    """Store a content unless the studio has it; returns its stored name. Slow: call it before the transaction."""
    known = PatternFile.objects.filter(version__pattern__studio=studio, digest=digest).values_list("stored", flat=True)
    if (name := known.first()) and default_storage.exists(name):
        return name
    upload.seek(0)
    return default_storage.save(f"{FOLDER}/{studio.ref}/{digest}", upload)


def hold(stored: str, upload: File, *, studio: Studio, digest: str) -> str:
    """Within the transaction that writes the row: make sure that nobody removed the content meanwhile."""
    Studio.objects.select_for_update().get(pk=studio.pk)
    return stored if default_storage.exists(stored) else keep(upload, studio=studio, digest=digest)


def forget_unused(stored: str) -> None:
    """Remove a content that no row names any more. Runs after the rows are gone for good."""
    with transaction.atomic():
        Studio.objects.select_for_update().filter(ref=stored.split("/")[1]).first()
        if not PatternFile.objects.filter(stored=stored).exists():
            default_storage.delete(stored)


def open_file(found: PatternFile) -> FileResponse:
    """The file as a download, under its pattern's name. The caller has checked who asks. A content that is lost is
    not found."""
    try:
        content = default_storage.open(found.stored, "rb")
    except FileNotFoundError:
        raise Http404 from None
    response = FileResponse(
        content,
        as_attachment=True,
        filename=download_name(found),
        content_type="application/pdf",
    )
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


def download_name(found: PatternFile) -> str:
    """Pattern, version and kind: a tester who prints two versions can tell them apart in a folder."""
    version = found.version
    return get_valid_filename(f"{version.pattern.name} {version.number} {found.kind}.pdf").lower()


def sweep(before: datetime) -> list[str]:
    """Remove stored contents from before that time that no row names. Returns their names."""
    named = set(PatternFile.objects.values_list("stored", flat=True))
    gone = [name for name in _stored_names() if name not in named and default_storage.get_modified_time(name) < before]
    for name in gone:
        default_storage.delete(name)
    return gone


def _stored_names() -> list[str]:
    try:
        studios, _files = default_storage.listdir(FOLDER)
    except FileNotFoundError:
        return []
    return [
        f"{FOLDER}/{studio}/{name}" for studio in studios for name in default_storage.listdir(f"{FOLDER}/{studio}")[1]
    ]

from __future__ import annotations

from django.conf import settings
from django.core.files.base import File
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from people.audit import record
from people.models import Person
from releases.actions.refused import Refused
from releases.actions.stale import file_came
from releases.files import digest_of, forget_unused, hold, keep
from releases.jobs import look_into_file
from releases.models import PatternFile, Version
from releases.pdf_facts import PdfFacts

MANY = _("This version has so many files already that a tester could not find the right one. Remove some first.")
SEWN = _("Testers may have sewn from this file. Replace it, and its history stays.")


def add_file(
    *, version: Version, upload: File, name: str, kind: str, facts: PdfFacts, replaces: PatternFile | None, by: Person
) -> PatternFile:
    """Take a PDF whose facts were read. `replaces` stays in the history, with the day. Raises Refused."""
    studio, digest = version.pattern.studio, digest_of(upload)
    stored = keep(upload, studio=studio, digest=digest)
    try:
        with transaction.atomic():
            stored = hold(stored, upload, studio=studio, digest=digest)
            if version.files.count() >= settings.FILES_PER_VERSION:
                raise Refused(MANY)
            if replaces:
                PatternFile.objects.filter(pk=replaces.pk, replaced_at=None).update(replaced_at=timezone.now())
            made = PatternFile.objects.create(
                version=version,
                kind=kind,
                name=name[:160],
                digest=digest,
                stored=stored,
                size_bytes=upload.size,
                pages=facts.pages,
                page_mm=[list(size) for size in facts.page_mm],
                by=by,
            )
            verb = "file_replaced" if replaces else "file_added"
            record(studio=studio, by=by, verb=verb, thing=made, content=[digest, replaces.ref if replaces else ""])
            file_came(file=made, replaced=replaces, by=by)
            look_into_file.enqueue(made.ref)
            return made
    except BaseException:
        forget_unused(stored)
        raise


@transaction.atomic
def remove_file(*, found: PatternFile, by: Person) -> None:
    """Take a file out of a draft; its content goes with the last row that names it. Raises Refused."""
    version = Version.objects.select_for_update().get(pk=found.version_id)
    if not version.is_draft:
        raise Refused(SEWN)
    record(studio=found.version.pattern.studio, by=by, verb="file_removed", thing=found, content=found.digest)
    found.delete()

"""Long documents of a version (tables, layouts, booklet): asked for by a page, made by a worker, kept by content."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from typing import Any

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils.translation import get_language, override

from releases.actions.stale import done_anew
from releases.booklet_document import booklet_pdf
from releases.fabric_document import fabric_pdf
from releases.jobs import make_document
from releases.models import MadeState, MadeTables, Version
from releases.paper import PAPERS, Paper, Tell
from releases.stale import Deed
from releases.table_document import tables_pdf

What = MadeTables.What
FOLDER = "tables"
MAKERS: Mapping[str, Callable[[Version, Paper, Tell], bytes]] = {
    What.TABLES: lambda version, paper, tell: tables_pdf(version, paper, tell=tell),
    What.LAYOUTS: lambda version, paper, tell: fabric_pdf(version, paper, every=True, tell=tell),
    What.BOOKLET: lambda version, paper, tell: booklet_pdf(version, paper, tell=tell),
}
# What a version is owed no longer once the document is made.
DEEDS: Mapping[str, Deed] = {What.TABLES: "tables"}


def ask_for(version: Version, what: MadeTables.What, paper: Paper, content: str, *, again: bool = False) -> MadeTables:
    """The document of that content in the reader's language: one that is there, or that a worker now makes.

    `content` is a digest of all that it shows. One that failed is only tried `again` when someone asks. Documents of
    what it said before go.
    """
    what_for: dict[str, Any] = {"what": what, "paper": paper.key, "language": get_language() or ""}
    known = version.made_tables.filter(**what_for, content=content).first()
    if known and not (again and known.state == MadeState.FAILED):
        return known
    with transaction.atomic():
        made, _is_new = MadeTables.objects.get_or_create(version=version, **what_for, content=content)
        version.made_tables.filter(**what_for).exclude(pk=made.pk).delete()
        made.state, made.pages_done = MadeState.WAITING, 0
        made.save(update_fields=["state", "pages_done"])
        make_document.enqueue(made.ref)
    return made


def write(made: MadeTables) -> None:
    """Make the document and store it. Run again, it finds the work done."""
    if made.state == MadeState.READY:
        return
    try:
        with override(made.language or settings.LANGUAGE_CODE):
            content = MAKERS[made.what](made.version, PAPERS[made.paper], _teller(made))
    except Exception:
        MadeTables.objects.filter(pk=made.pk).update(state=MadeState.FAILED)
        raise
    stored = default_storage.save(f"{FOLDER}/{made.version.pattern.studio.ref}/{made.ref}.pdf", ContentFile(content))
    # Written twice by two workers, the first one's file stands.
    if not MadeTables.objects.filter(pk=made.pk, stored="").update(state=MadeState.READY, stored=stored):
        default_storage.delete(stored)
        return
    if made.what in DEEDS:
        with transaction.atomic():
            done_anew(version=made.version, deed=DEEDS[made.what], by=None)


def _teller(made: MadeTables) -> Tell:
    """Writes how many pages are laid out, at most once in PROGRESS_SECONDS; the engine may go over them again."""
    last, most = 0.0, 0

    def tell(pages: int) -> None:
        nonlocal last, most
        most = max(most, pages)
        if time.monotonic() - last >= settings.PROGRESS_SECONDS:
            last = time.monotonic()
            MadeTables.objects.filter(pk=made.pk, stored="").update(pages_done=most)

    return tell

"""The measurement tables as a PDF: made at once when they are short, by a worker when they are long."""

from __future__ import annotations

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils import timezone
from django.utils.text import get_valid_filename

from people.audit import digest
from releases.actions.stale import done_anew
from releases.jobs import make_tables
from releases.models import MadeState, MadeTables, Version
from releases.paper import PAPERS, Paper, render_pdf
from releases.table_layout import Layout, Tables, lay_out
from releases.tables import measurement_tables

FOLDER = "tables"


def laid_out(version: Version, paper: Paper) -> tuple[Tables, Layout]:
    """The version's tables, and how they lie on this paper."""
    tables = measurement_tables(version)
    return tables, lay_out(tables, paper.width_mm, paper.height_mm)


def is_long(layout: Layout) -> bool:
    """Whether a page would keep its reader, and others, waiting for it."""
    return layout.rows > settings.PDF_ROWS_AT_ONCE


def tables_pdf(version: Version, paper: Paper) -> bytes:
    """The PDF of a version's tables on this paper."""
    tables, layout = laid_out(version, paper)
    context = {
        "version": version,
        "pattern": version.pattern,
        "tables": tables,
        "layout": layout,
        "today": timezone.localdate(),
    }
    return render_pdf("paper/measurement_tables.html", context, paper=paper.key, turned=layout.turned)


def ask_for(version: Version, paper: Paper, tables: Tables, *, again: bool = False) -> MadeTables:
    """The document of these tables: the one that is there, or one that a worker now makes.

    One that failed is only tried `again` when someone asks. Documents of what the tables said before go.
    """
    pattern = version.pattern
    content = digest([pattern.name, version.number, pattern.studio.name, str(pattern.height_mm), repr(tables)])
    known = version.made_tables.filter(paper=paper.key, content=content).first()
    if known and not (again and known.state == MadeState.FAILED):
        return known
    with transaction.atomic():
        made, _is_new = MadeTables.objects.get_or_create(version=version, paper=paper.key, content=content)
        version.made_tables.filter(paper=paper.key).exclude(pk=made.pk).delete()
        made.state = MadeState.WAITING
        made.save(update_fields=["state"])
        make_tables.enqueue(made.ref)
    return made


def write(made: MadeTables) -> None:
    """Make the document and store it. Run again, it finds the work done."""
    if made.state == MadeState.READY:
        return
    try:
        content = tables_pdf(made.version, PAPERS[made.paper])
    except Exception:
        MadeTables.objects.filter(pk=made.pk).update(state=MadeState.FAILED)
        raise
    stored = default_storage.save(f"{FOLDER}/{made.version.pattern.studio.ref}/{made.ref}.pdf", ContentFile(content))
    # Written twice by two workers, the first one's file stands.
    if not MadeTables.objects.filter(pk=made.pk, stored="").update(state=MadeState.READY, stored=stored):
        default_storage.delete(stored)
        return
    with transaction.atomic():
        done_anew(version=made.version, deed="tables", by=None)


def file_name(version: Version, paper: Paper) -> str:
    return get_valid_filename(f"{version.pattern.name} {version.number} measurements {paper.key}.pdf").lower()

"""The measurement tables as a PDF: made at once when they are short, by a worker when they are long
(releases.made_documents)."""

from __future__ import annotations

from django.conf import settings
from django.utils import timezone
from django.utils.text import get_valid_filename

from people.audit import digest
from releases.models import Version
from releases.paper import Paper, Tell, render_pdf
from releases.table_layout import Layout, Tables, lay_out
from releases.tables import measurement_tables


def laid_out(version: Version, paper: Paper) -> tuple[Tables, Layout]:
    """The version's tables, and how they lie on this paper."""
    tables = measurement_tables(version)
    return tables, lay_out(tables, paper.width_mm, paper.height_mm)


def is_long(layout: Layout) -> bool:
    """Whether a page would keep its reader, and others, waiting for it."""
    return layout.rows > settings.PDF_ROWS_AT_ONCE


def tables_pdf(version: Version, paper: Paper, *, tell: Tell | None = None) -> bytes:
    """The PDF of a version's tables on this paper."""
    tables, layout = laid_out(version, paper)
    context = {
        "version": version,
        "pattern": version.pattern,
        "tables": tables,
        "layout": layout,
        "today": timezone.localdate(),
    }
    return render_pdf("paper/measurement_tables.html", context, paper=paper.key, turned=layout.turned, tell=tell)


def tables_content(version: Version, tables: Tables) -> str:
    """Tells one document of tables from another."""
    pattern = version.pattern
    return digest([pattern.name, version.number, pattern.studio.name, str(pattern.height_mm), repr(tables)])


def file_name(version: Version, paper: Paper) -> str:
    return get_valid_filename(f"{version.pattern.name} {version.number} measurements {paper.key}.pdf").lower()

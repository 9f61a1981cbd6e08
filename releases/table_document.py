"""The measurement tables as a PDF: made at once when they are short, by a worker when they are long."""

from __future__ import annotations

from django.utils import timezone

from releases.models import Version
from releases.paper import Paper, render_pdf
from releases.table_layout import Layout, Tables, lay_out
from releases.tables import measurement_tables


def tables_pdf(version: Version, paper: Paper) -> bytes:
    """The PDF of a version's tables on this paper."""
    tables = measurement_tables(version)
    return pdf_of(version, tables, laid_out(tables, paper), paper)


def laid_out(tables: Tables, paper: Paper) -> Layout:
    return lay_out(tables, paper.width_mm, paper.height_mm)


def pdf_of(version: Version, tables: Tables, layout: Layout, paper: Paper) -> bytes:
    context = {
        "version": version,
        "pattern": version.pattern,
        "tables": tables,
        "layout": layout,
        "today": timezone.localdate(),
    }
    return render_pdf("paper/measurement_tables.html", context, paper=paper.key, turned=layout.turned)

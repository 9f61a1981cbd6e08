"""The booklet of a version as a PDF, put together from its parts."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.conf import settings
from django.core.files.storage import default_storage
from django.utils import timezone
from django.utils.text import get_valid_filename
from django.utils.translation import override

from people.audit import digest
from releases.booklet import allowances, cautions_of, drawings, notions, step_lines
from releases.fabric_document import fabric_content, layouts_of, shown_layouts
from releases.layouts import fabric_table
from releases.models import Notion, Version
from releases.paper import Paper, Tell, render_pdf
from releases.table_document import laid_out, tables_content
from releases.tables import measurement_tables


def booklet_pdf(version: Version, paper: Paper, *, tell: Tell | None = None) -> bytes:
    """The PDF on this paper. A picture that is gone from the store is left out."""
    tables, layout = laid_out(version, paper)
    table, lines = fabric_table(version), step_lines(version)
    pictures = {
        one.shown.ref: partial(_picture, one.shown.picture)
        for one in lines
        if one.shown and one.shown.picture and default_storage.exists(one.shown.picture)
    }
    context = {
        **_parts(version),
        "pattern": version.pattern,
        "tables": tables,
        "layout": layout,
        "table": table,
        "layouts": shown_layouts(version, layouts_of(table)),
        "lines": lines,
        "pictures": pictures,
        "today": timezone.localdate(),
    }
    return render_pdf("paper/booklet.html", context, paper=paper.key, pictures=pictures, tell=tell)


def _parts(version: Version) -> dict[str, Any]:
    return {
        "version": version,
        "cautions": cautions_of(version.pattern, to_buyers=True),
        "allowances": allowances(version),
        "notions": notions(version, Notion.Kind.NOTION),
        "tools": notions(version, Notion.Kind.TOOL),
        "drawings": drawings(version),
    }


def _picture(stored: str) -> bytes:
    with default_storage.open(stored) as file:
        return bytes(file.read())


def booklet_content(version: Version) -> str:
    """Tells one booklet from another: all that it shows, whatever language it is asked for in."""
    with override(settings.LANGUAGE_CODE):
        return digest(_told(version))


def _told(version: Version) -> list[object]:
    return [
        [version.suits, version.unsuited, version.printing, version.base_size, version.sizes],
        [str(version.test_square_mm), cautions_of(version.pattern, to_buyers=True), allowances(version)],
        [[row.kind, row.name, row.amount, row.optional] for row in version.notions.all()],
        [[one.name, [[line.how, line.differs] for line in one.lines]] for one in drawings(version)],
        [[one.number, one.text, one.cautions, _shown(one.shown)] for one in step_lines(version)],
        fabric_content(version),
        tables_content(version, measurement_tables(version)),
    ]


def _shown(shown: Any) -> list[object]:
    return [shown.picture, shown.picture_says, shown.lesson_url, shown.lesson_seconds] if shown else []


def file_name(version: Version, paper: Paper) -> str:
    return get_valid_filename(f"{version.pattern.name} {version.number} booklet {paper.key}.pdf").lower()

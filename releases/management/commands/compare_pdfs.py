"""`manage.py compare_pdfs OLD NEW`: which pages of a pattern changed, and which must be printed again."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from collections.abc import Iterator
from typing import Any

from django.core.management.base import CommandError

from people.commands import PlainCommand
from releases.pdf.compare import Comparison, from_dict
from releases.pdf_facts import PdfError
from releases.pdf_reader import REFUSED, compared, inspected, readable


class Command(PlainCommand):
    help = "Compare two PDFs page by page by what is drawn (docs/algorithms/pdf-compare.md)."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("old", help="the PDF before")
        parser.add_argument("new", help="the PDF after")
        parser.add_argument("--json", action="store_true", help="print what changed as JSON alone")

    def handle(self, *args: Any, **options: Any) -> None:
        found = _compared(options["old"], options["new"])
        if options["json"]:
            self.stdout.write(json.dumps(as_json(found), ensure_ascii=False, indent=1, allow_nan=False))
        else:
            self.stdout.write("\n".join(_lines(found)))


def _compared(old: str, new: str) -> Comparison:
    try:
        return from_dict(compared(readable(old), readable(new))["comparison"])
    except OSError as error:
        raise CommandError(f"{error.filename} cannot be read: {error.strerror}.", returncode=2) from None
    except PdfError as error:
        raise CommandError(f"{_culprit(old, new)}: {REFUSED[error.code]}", returncode=2) from None


def _culprit(old: str, new: str) -> str:
    """Which of two files cannot be read: only asked when one of them could not."""
    for name in (old, new):
        try:
            inspected(readable(name))
        except (PdfError, OSError):
            return name
    return f"{old} and {new}"


def as_json(found: Comparison) -> dict[str, Any]:
    """As docs/algorithms/pdf-compare.md lays down."""
    return {
        "changed": [{"old": one.old, "new": one.new} for one in found.changed],
        "added": list(found.added),
        "removed": list(found.removed),
        "moved_origin": found.moved_mm is not None,
        "reprint": [one.page for one in found.reprint],
    }


def _lines(found: Comparison) -> Iterator[str]:
    if found.moved_mm:
        yield f"the drawing moved on all pages: {_way(*found.moved_mm)}"
    for old, new in found.edition:
        yield f"on every page “{old}” became “{new}”: no reason to print again"
    for one in found.changed:
        layers = [layer or "outside all layers" for layer in one.layers]
        where = f" ({', '.join(layers)})" if layers != ["outside all layers"] else ""
        yield f"page {one.old} changed, now page {one.new}{where}"
    for page in found.added:
        yield f"page {page} is new"
    for page in found.removed:
        yield f"page {page} of the old file is gone"
    if found.unread:
        yield "part of the files could not be read; what could be was compared"
    pages = ", ".join(str(one.page) for one in found.reprint)
    yield f"print again: {pages}" if pages else "nothing needs printing again"


def _way(dx: float, dy: float) -> str:
    """ "17 mm to the right, 8 mm down"."""
    across = f"{abs(dx):g} mm to the {'right' if dx > 0 else 'left'}" if dx else ""
    along = f"{abs(dy):g} mm {'up' if dy > 0 else 'down'}" if dy else ""
    return ", ".join(part for part in (across, along) if part)

"""`manage.py inspect_pdf FILE`: what is in a PDF, and what is wrong with it."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from collections.abc import Iterator
from typing import Any

from django.core.management.base import CommandError

from people.commands import PlainCommand
from releases.pdf.inspection import Inspection
from releases.pdf.problems import Problem, problems_of
from releases.pdf_facts import PdfError
from releases.pdf_reader import REFUSED, inspected, readable


class Command(PlainCommand):
    help = "Look into a PDF: pages, layers, fonts, test squares, and what is wrong (docs/algorithms/pdf-facts.md)."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="a PDF")
        parser.add_argument("--json", action="store_true", help="print what was found as JSON alone")

    def handle(self, *args: Any, **options: Any) -> None:
        name = options["file"]
        try:
            found = inspected(readable(name))
        except OSError as error:
            raise CommandError(f"{name} cannot be read: {error.strerror}.", returncode=2) from None
        except PdfError as error:
            raise CommandError(f"{name}: {REFUSED[error.code]}", returncode=2) from None
        problems = problems_of(found)
        if options["json"]:
            self.stdout.write(json.dumps(as_json(found, problems), ensure_ascii=False, indent=1, allow_nan=False))
        else:
            self.stdout.write("\n".join(_lines(found, problems)))


def as_json(found: Inspection, problems: list[Problem]) -> dict[str, Any]:
    """As docs/algorithms/pdf-facts.md lays down."""
    return {
        "pages": [
            {"number": page.number, "width_mm": page.width_mm, "height_mm": page.height_mm, "rotation": page.rotation}
            for page in found.pages
        ],
        "layers": list(found.layers),
        "fonts": [{"name": font.name, "embedded": font.embedded} for font in found.fonts],
        "encrypted": found.encrypted,
        "test_squares": [
            {"page": square.page, "width_mm": square.width_mm, "height_mm": square.height_mm}
            for square in found.squares
        ],
        "problems": [{"page": problem.page, "says": str(problem.says)} for problem in problems],
    }


def _lines(found: Inspection, problems: list[Problem]) -> Iterator[str]:
    for page in found.pages:
        turned = f", turned by {page.rotation}" if page.rotation else ""
        yield f"page {page.number}: {page.width_mm:.1f} × {page.height_mm:.1f} mm{turned}"
    yield f"layers: {', '.join(found.layers) or 'none'}"
    fonts = (f"{font.name}{'' if font.embedded else ' (not in the file)'}" for font in found.fonts)
    yield f"fonts: {', '.join(fonts) or 'none'}"
    yield f"locked: {'yes' if found.encrypted else 'no'}"
    for square in found.squares:
        yield f"test square on page {square.page}: {square.width_mm:.2f} × {square.height_mm:.2f} mm"
    for problem in problems:
        yield f"{f'page {problem.page}' if problem.page else 'the file'}: {problem.says}"
    if not problems:
        yield "nothing is wrong with it"

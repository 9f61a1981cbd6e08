"""Reading PDFs within the limits of this installation, in a child process; the sentences for those that are no good."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.conf import settings

from releases.pdf.inspection import Inspection, from_dict
from releases.pdf_child import ChildLimits, ask_child

# Plain English, for commands; pages have their own words (releases.forms.files.WHY).
REFUSED = {
    "not_pdf": "This is not a PDF.",
    "encrypted": "This PDF is locked with a password, so that it cannot be read.",
    "broken": "This PDF is damaged, or asks for more time or memory than a reader may take.",
    "no_pages": "This PDF has no pages.",
    "too_many_pages": f"This PDF has more than {settings.PATTERN_FILE_PAGES} pages.",
    "script": "This PDF runs a script when it is opened.",
}


def readable(name: str) -> Path:
    """The path of a file that can be opened. Raises OSError."""
    path = Path(name).resolve()
    with path.open("rb"):
        return path


def looking_limits() -> ChildLimits:
    return ChildLimits(settings.PATTERN_FILE_PAGES, settings.PDF_READER_BYTES, settings.PDF_LOOK_SECONDS)


def inspected(path: Path, told: Callable[[int, int], None] | None = None) -> Inspection:
    """Everything that is looked up in the file at a path. Raises PdfError."""
    return from_dict(ask_child("look", [path], looking_limits(), told))


def words(path: Path) -> list[str]:
    """The text of each page, in the order in which it was written. Raises PdfError."""
    return list(ask_child("words", [path], looking_limits())["pages"])


def compared(old: Path, new: Path, told: Callable[[int, int], None] | None = None) -> dict[str, Any]:
    """What differs between two files, as releases.pdf.compare hands it out. Raises PdfError."""
    return ask_child("compare", [old, new], looking_limits(), told)

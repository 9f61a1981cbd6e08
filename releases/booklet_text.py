"""The steps of a version out of its booklet's PDF."""

from __future__ import annotations

import re
from itertools import dropwhile

from releases.file_facts import on_disk
from releases.models import FileKind, Version
from releases.pdf_reader import words
from releases.wording.booklet import read_booklet

_PAGE_NUMBER = re.compile(r"(?i)\s*(?:page\s+)?\d{1,3}(?:\s*(?:/|of)\s*\d{1,3})?\s*")


def booklet_steps(version: Version) -> str:
    """The booklet's text from its first numbered step on; "" without a booklet or a step. Raises PdfError."""
    booklet = version.current_files().filter(kind=FileKind.BOOKLET).first()
    if booklet is None:
        return ""
    with on_disk(booklet.stored) as path:
        pages = words(path)
    return steps_of_pages(pages)


def steps_of_pages(pages: list[str]) -> str:
    """Lines from the first step on, without page numbers; a word parted at a line's end is whole again."""
    lines = [line for page in pages for line in page.split("\n") if not _PAGE_NUMBER.fullmatch(line)]
    text = re.sub(r"(?<=[a-z])-\n(?=[a-z])", "", "\n".join(lines))
    numbers = read_booklet(text).numbers
    first = next((line for number, line in numbers if number == 1), numbers[0][1] if numbers else None)
    if first is None:
        return ""
    told = text.split("\n")[first - 1 :]
    return "\n".join(dropwhile(lambda line: not line.strip(), told)).strip()

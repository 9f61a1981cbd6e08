"""The words of a booklet's pages. `words_of` opens a stranger's file: run it in the child process."""

from __future__ import annotations

from pathlib import Path

from releases.pdf_facts import PdfError

# A booklet is some 100 kB of words; a file that says more is no booklet.
_MOST_CHARS = 2_000_000


def words_of(path: Path, most_pages: int) -> list[str]:
    """The text of each page, its lines as they were written. Raises PdfError."""
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(path)
    except pypdfium2.PdfiumError:
        raise PdfError("broken") from None
    if len(document) > most_pages:
        raise PdfError("too_many_pages")
    texts: list[str] = []
    for page in document:
        words = page.get_textpage().get_text_bounded()
        texts.append(words.replace("\r\n", "\n").replace("\ufffe", "-"))
        if sum(map(len, texts)) > _MOST_CHARS:
            break
    return texts

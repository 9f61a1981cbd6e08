"""What a PDF says of itself: its pages and how large each of them really is.

A page's size is its visible box times its UserUnit, turned as the page is turned. Only page dictionaries are
read; no content is unpacked, so that a small file which unfolds to gigabytes costs nothing.
Method and limits: docs/algorithms/pdf-facts.md. pikepdf is imported when a file is read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal

# One point is 1/72 in by ISO 32000-1; UserUnit multiplies it.
MM_PER_POINT = Decimal("25.4") / 72
# ISO 216 allows 1.5 to 3 mm on a sheet; exporters round to whole points (0.35 mm).
PAPER_TOLERANCE_MM = 2.0
PAPERS_MM: dict[str, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
# The longer side of A3: what is longer on any side is no longer printed on sheets at home.
LARGEST_HOME_SHEET_MM = 432.0
# Of a header that is not at the very start, readers look in the first kilobyte (ISO 32000-1, annex H).
HEADER_WITHIN = 1024

Refusal = Literal["not_pdf", "encrypted", "broken", "no_pages", "too_many_pages", "script"]
Size = tuple[float, float]


@dataclass(frozen=True)
class PdfFacts:
    """Pages in order, each with width and height in millimetres as it is seen, to a tenth."""

    page_mm: tuple[Size, ...]

    @property
    def pages(self) -> int:
        return len(self.page_mm)


class PdfError(ValueError):
    """A file that is not taken; `code` says why."""

    def __init__(self, code: Refusal) -> None:
        super().__init__(code)
        self.code = code


def read_facts(path: Path, most_pages: int = 2_000) -> PdfFacts:
    """The facts of the file at this path. Raises PdfError."""
    import pikepdf

    with path.open("rb") as file:
        if b"%PDF-" not in file.read(HEADER_WITHIN):
            raise PdfError("not_pdf")
    try:
        with pikepdf.open(path) as pdf:
            return _facts(pdf, most_pages)
    except pikepdf.PasswordError:
        raise PdfError("encrypted") from None
    except PdfError:
        raise
    # A damaged file fails in many ways: a missing key, a wrong type, a loop, a number too large.
    except Exception as error:
        raise PdfError("broken") from error


def _facts(pdf: Any, most_pages: int) -> PdfFacts:
    if pdf.is_encrypted:
        raise PdfError("encrypted")
    if any("damaged" in warning or "reconstruct" in warning for warning in map(str, pdf.get_warnings())):
        raise PdfError("broken")
    if len(pdf.pages) > most_pages:
        raise PdfError("too_many_pages")
    if not len(pdf.pages):
        raise PdfError("no_pages")
    if _has_script(pdf.Root):
        raise PdfError("script")
    return PdfFacts(tuple(_page_mm(page) for page in pdf.pages))


def _has_script(root: Any) -> bool:
    """Whether opening the file would run something: a script, or a program."""
    opening = root.get("/OpenAction")
    acts = opening is not None and hasattr(opening, "keys") and str(opening.get("/S")) in {"/JavaScript", "/Launch"}
    names = root.get("/Names")
    return acts or "/AA" in root or (names is not None and "/JavaScript" in names)


def _page_mm(page: Any) -> Size:
    """The visible box: the crop box as far as it lies on the sheet."""
    media, crop = _box(page.mediabox), _box(page.cropbox)
    width = min(media[2], crop[2]) - max(media[0], crop[0])
    height = min(media[3], crop[3]) - max(media[1], crop[1])
    if width <= 0 or height <= 0:
        raise PdfError("broken")
    unit = Decimal(str(page.obj.get("/UserUnit", 1)))
    if not 0 < unit <= 75_000:
        raise PdfError("broken")
    sides = (_mm(width * unit), _mm(height * unit))
    return sides[::-1] if _turned(page) else sides


def _box(values: Any) -> tuple[Decimal, Decimal, Decimal, Decimal]:
    """Left, bottom, right, top, whichever corners the file names."""
    a, b, c, d = (Decimal(str(value)) for value in values)
    return min(a, c), min(b, d), max(a, c), max(b, d)


def _turned(page: Any) -> bool:
    return int(page.rotation) % 180 == 90


def _mm(points: Decimal) -> float:
    return float(round(points * MM_PER_POINT, 1))


def paper_of(sizes: Sequence[Size]) -> str | None:
    """What these pages are: `a4`, `letter`, `large` when any side is beyond a home sheet; None when it is mixed."""
    if any(max(size) > LARGEST_HOME_SHEET_MM for size in sizes):
        return "large"
    for key, sheet in PAPERS_MM.items():
        if all(_same_sheet(size, sheet) for size in sizes):
            return key
    return None


def _same_sheet(size: Size, sheet: Size) -> bool:
    """Either way up, within the tolerance."""
    return all(abs(a - b) <= PAPER_TOLERANCE_MM for a, b in zip(sorted(size), sorted(sheet), strict=True))


def distinct_sizes(sizes: Sequence[Size]) -> tuple[tuple[Size, int], ...]:
    """Each page size with how many pages have it, in the order of first appearance; sizes alike to 1 mm are one."""
    found: dict[tuple[int, int], list[Size]] = {}
    for size in sizes:
        found.setdefault((round(size[0]), round(size[1])), []).append(size)
    return tuple((group[0], len(group)) for group in found.values())

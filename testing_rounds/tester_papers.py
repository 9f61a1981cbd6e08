"""What a tester prints: the file for their paper, its pages for their size, what changed since they printed last."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db.models import Q

from releases.file_comparisons import comparison_of
from releases.models import FileComparison, FileKind, MadeState, PatternFile, Version
from releases.pdf.compare import Comparison, from_dict
from releases.pdf.layers import PageUse, pages_for, print_lists
from releases.tables import charts_of
from releases.version_changes import MeasureChange, StepChange, measure_changes, step_changes
from releases.what_changed import ranges
from testing_rounds.models import FileTaken
from testing_rounds.tester_book import Book

# A strip of more pages than this is longer than a phone; the numbers say it all.
STRIP_PAGES = 80


@dataclass(frozen=True)
class Paper:
    """A file for the tester, and which of its pages their sizes need; none known: all of them."""

    file: PatternFile
    pages: tuple[int, ...]

    @property
    def some(self) -> bool:
        """Whether some pages can stay unprinted."""
        return bool(self.pages and self.file.pages and len(self.pages) < self.file.pages)

    @property
    def numbers(self) -> str:
        return ranges(self.pages)

    @property
    def strip(self) -> list[tuple[int, bool]]:
        """Every page with whether it is printed."""
        total = self.file.pages or 0
        return [(page, page in set(self.pages)) for page in range(1, total + 1)] if total <= STRIP_PAGES else []


def cut_sizes(book: Book) -> list[str]:
    return [size for size in dict.fromkeys([book.size, *book.sizes.values()]) if size]


def paper_for(file: PatternFile, cut: list[str], sizes: list[str]) -> Paper:
    """The pages of a file that somebody prints who cuts these sizes."""
    pages = (file.found or {}).get("pages", ()) if file.kind != FileKind.BOOKLET else ()
    uses = [PageUse(one["number"], one.get("layers"), one.get("blank", False)) for one in pages]
    known = cut and all(use.layers is not None for use in uses)
    return Paper(file, pages_for(cut, uses, sizes) if known else ())


@dataclass(frozen=True)
class Since:
    """What changed since the file that the tester printed from; `made` is the comparison of the two, once asked for."""

    old: PatternFile
    new: PatternFile
    made: FileComparison | None
    cut: tuple[str, ...]

    @property
    def other_version(self) -> bool:
        return self.old.version_id != self.new.version_id

    @property
    def waits(self) -> bool:
        return self.made is not None and self.made.state == MadeState.WAITING

    @property
    def failed(self) -> bool:
        return self.made is not None and self.made.state == MadeState.FAILED

    @cached_property
    def result(self) -> Comparison | None:
        made = self.made
        if made is None or made.state != MadeState.READY or made.result is None:
            return None
        return from_dict(made.result)

    @cached_property
    def pages(self) -> tuple[int, ...]:
        """The pages to print again for the sizes that are cut; all that changed while no size is chosen."""
        if self.result is None:
            return ()
        wanted = self.cut or tuple(self.new.version.sizes)
        lists = print_lists(self.result.reprint, self.new.version.sizes, (self.new.found or {}).get("layers", ()))
        return tuple(sorted({page for one in lists if set(one.sizes) & set(wanted) for page in one.pages}))

    @property
    def numbers(self) -> str:
        return ranges(self.pages)

    @cached_property
    def measures(self) -> list[MeasureChange]:
        """Finished measurements that changed in a size that is cut."""
        if not self.other_version:
            return []
        found = measure_changes(charts_of(self.old.version)[1], charts_of(self.new.version)[1])
        return [one for one in found if not self.cut or set(one.sizes) & set(self.cut)]

    @cached_property
    def steps(self) -> list[StepChange]:
        return step_changes(_steps(self.old.version), _steps(self.new.version)) if self.other_version else []


def _steps(version: Version) -> list[tuple[int, str]]:
    return [(step.number, step.text) for step in version.steps.all()]


def since_printed(book: Book) -> Since | None:
    """What came after the file that this tester took last for their paper, in this round or an earlier one of the
    pattern; None where that is the newest, or nothing was taken."""
    old = last_taken(book)
    if old is None:
        return None
    new = next((file for file in book.files if file.kind == old.kind), None)
    if new is None or new.digest == old.digest:
        return None
    return Since(old, new, comparison_of(old, new), tuple(cut_sizes(book)))


def last_taken(book: Book) -> PatternFile | None:
    """The file to print from that the tester downloaded last."""
    place = book.place
    who = Q(place=place)
    if place.email:
        who |= Q(place__email__iexact=place.email, place__round__version__pattern=book.pattern)
    taken = FileTaken.objects.filter(who).exclude(file__kind=FileKind.BOOKLET)
    if place.paper:
        taken = taken.filter(file__kind=place.paper)
    row = taken.select_related("file__version__pattern__studio").last()
    return row.file if row else None


def has_booklet(book: Book) -> bool:
    """Whether a booklet can be put together for this version: it has its steps."""
    return book.version.steps.exists()


def files_of(book: Book) -> dict[str, Any]:
    """The files for the tester's paper with their pages, and those for other paper."""
    cut, sizes = cut_sizes(book), book.version.sizes
    own: list[Paper] = []
    others: list[PatternFile] = []
    for file in book.files:
        if not book.place.paper or file.kind in {book.place.paper, FileKind.BOOKLET}:
            own.append(paper_for(file, cut, sizes))
        else:
            others.append(file)
    brought = any(file.kind == FileKind.BOOKLET for file in book.files)
    return {"files": own, "other_files": others, "cut": cut, "has_booklet": not brought and has_booklet(book)}

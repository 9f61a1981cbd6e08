"""Whether a version's files agree with the version and with one another: sizes, version, date, test square, sheets.

Each finding has its file, its page and one sentence. Table: docs/algorithms/pdf-facts.md.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from measurements.sentences import Sentence, gettext_noop, sentence
from releases.pdf.inspection import Inspection
from releases.pdf.layers import meaning
from releases.pdf.problems import problems_of, side_words
from releases.pdf_facts import LARGEST_HOME_SHEET_MM, paper_of

_SHEETS = {"a4": "A4", "letter": "Letter"}
_ALIKE_MM = 0.1


@dataclass(frozen=True)
class FileSeen:
    """A file of a version: its kind, what it is called, and what was found in it."""

    ref: str
    kind: str
    name: str
    found: Inspection

    @property
    def is_pattern(self) -> bool:
        return self.kind != "booklet"


@dataclass(frozen=True)
class VersionSays:
    """What the version says of itself; no square length where none was given."""

    number: str
    sizes: tuple[str, ...]
    square_mm: float | None = None


@dataclass(frozen=True)
class FileFinding:
    """`page` is None where the whole file is meant."""

    ref: str
    page: int | None
    says: Sentence


def findings(files: Sequence[FileSeen], version: VersionSays) -> list[FileFinding]:
    """Everything that is wrong with the files of a version, file by file."""
    return [
        finding
        for file in files
        for finding in sorted(_of(file, files, version), key=lambda finding: finding.page or 0)
    ]


def _of(file: FileSeen, files: Sequence[FileSeen], version: VersionSays) -> Iterator[FileFinding]:
    for problem in problems_of(file.found, wants_square=file.is_pattern, on_roll=file.kind == "large"):
        yield FileFinding(file.ref, problem.page, problem.says)
    for page, says in (
        *_sheets(file),
        *_words(file),
        *_layers(file, version),
        *_version(file, version),
        *_square(file, version),
        *_others(file, files),
    ):
        yield FileFinding(file.ref, page, says)


Told = Iterator[tuple[int | None, Sentence]]


def _sheets(file: FileSeen) -> Told:
    sizes = [(page.width_mm, page.height_mm) for page in file.found.pages]
    paper = paper_of(sizes)
    if file.kind in _SHEETS and paper != file.kind:
        said = gettext_noop("Its pages are not %(paper)s: the first is %(width)s × %(height)s mm.")
        width, height = (f"{side:.1f}" for side in sizes[0])
        yield 1, sentence("other_sheet", said, paper=_SHEETS[file.kind], width=width, height=height)
    if file.kind in {"large", "projector"} and len(sizes) > 1 and max(map(max, sizes)) <= LARGEST_HOME_SHEET_MM:
        said = gettext_noop(
            "It is in %(count)s small sheets: a large sheet or a projector wants the pattern in one piece."
        )
        yield None, sentence("in_tiles", said, count=len(sizes))


def _words(file: FileSeen) -> Told:
    if file.kind == "booklet" and not file.found.has_text:
        yield None, sentence("no_words", gettext_noop("No words can be read in it: it is pictures or outlines."))


def _layers(file: FileSeen, version: VersionSays) -> Told:
    if not file.is_pattern or not file.found.layers or not version.sizes:
        return
    means = {name: meaning(name, version.sizes) for name in file.found.layers}
    for name, one in means.items():
        if one.unknown:
            said = gettext_noop("The layer “%(name)s” is no size of this version.")
            yield None, sentence("unknown_size", said, name=name)
    named = {size for one in means.values() for size in one.sizes}
    if named:
        for size in version.sizes:
            if size not in named:
                yield (
                    None,
                    sentence("size_without_layer", gettext_noop("No layer is named after size %(size)s."), size=size),
                )


def _version(file: FileSeen, version: VersionSays) -> Told:
    """The version that most pages say; single pages that say another are told by the file's own problems."""
    said = Counter(page.version for page in file.found.pages if page.version)
    if not said:
        return
    usual = said.most_common(1)[0][0]
    if usual != version.number.strip().lower().lstrip("v"):
        page = next(page.number for page in file.found.pages if page.version == usual)
        words = gettext_noop("It says version %(printed)s; this is version %(number)s.")
        yield page, sentence("other_version", words, printed=usual, number=version.number)


def _square(file: FileSeen, version: VersionSays) -> Told:
    squares = file.found.squares
    meant = version.square_mm
    if not file.is_pattern or not squares or meant is None:
        return
    if not any(abs(square.nominal_mm - meant) <= _ALIKE_MM for square in squares):
        said = gettext_noop("Its test square is of %(here)s; this version says %(meant)s.")
        here = side_words(squares[0].nominal_mm)
        yield squares[0].page, sentence("other_square", said, here=here, meant=side_words(meant))


def _others(file: FileSeen, files: Sequence[FileSeen]) -> Told:
    """What the first file of another kind says otherwise: each pair is told once, at the later file."""
    if not file.is_pattern:
        return
    for other in files:
        if other.ref == file.ref:
            return
        if other.is_pattern:
            yield from _apart(file, other)


def _apart(file: FileSeen, other: FileSeen) -> Told:
    ours, theirs = set(file.found.layers), set(other.found.layers)
    if ours and theirs and ours != theirs:
        said = gettext_noop("Its layers differ from those of %(other)s: %(names)s.")
        names = ", ".join(sorted(ours ^ theirs))
        yield None, sentence("other_layers", said, other=other.name, names=names)
    here, there = _dates(file), _dates(other)
    if here and there and here != there:
        said = gettext_noop("It is dated %(here)s, and %(other)s is dated %(there)s.")
        yield None, sentence("other_date", said, here=here, there=there, other=other.name)


def _dates(file: FileSeen) -> str:
    said = Counter(page.date for page in file.found.pages if page.date)
    return said.most_common(1)[0][0] if said else ""

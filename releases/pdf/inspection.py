"""Everything that is looked up in a PDF: sheets, layers, fonts, locks, scripts, words, test squares.

`look` opens a stranger's file: run it in the child process (releases.pdf_child). What is wrong with what it found is
said by releases.pdf.problems.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path
from typing import Any

from releases.pdf.fonts import is_embedded, plain_name
from releases.pdf.kinds import has_keys, is_array
from releases.pdf.marks import Drawing
from releases.pdf.paint import Painter
from releases.pdf.parts import Budget
from releases.pdf.sheet import inherited, sheet_of
from releases.pdf.squares import squares_of
from releases.pdf.words import date_in, lines_of, version_in
from releases.pdf_facts import HEADER_WITHIN, PdfError

# Changed when a file should be looked at anew.
METHOD = 2
_SCRIPTED = {"/JavaScript", "/Launch", "/ImportData", "/SubmitForm"}
_MOST_NAMES = 20_000
_DEEP = 40


@dataclass(frozen=True)
class PageLook:
    """A page as it is seen, in mm; `version` and `date` are those printed on it; `cut_short` as in Drawing.

    `layers` are those that draw on it; None: not looked at. `blank`: nothing does.
    """

    number: int
    width_mm: float
    height_mm: float
    rotation: int
    sized: bool = True
    text: bool = False
    version: str = ""
    date: str = ""
    cut_short: str = ""
    layers: tuple[str, ...] | None = None
    blank: bool = False


@dataclass(frozen=True)
class SquareLook:
    """A test square, in mm, and the side that it is meant to have. `named`, `labelled`: as in squares.Square."""

    page: int
    width_mm: float
    height_mm: float
    nominal_mm: float
    named: bool
    labelled: bool = False


@dataclass(frozen=True)
class FontLook:
    """A font by name without the letters of its subset, and the first page that uses it; None: none does."""

    name: str
    embedded: bool
    page: int | None


@dataclass(frozen=True)
class Inspection:
    """What was found in a file.

    `layers` in the file's order, each name once; `drawn` tells which of them hold anything, `repeated` the names that
    several layers have, with how many.
    """

    pages: tuple[PageLook, ...]
    layers: tuple[str, ...] = ()
    drawn: tuple[str, ...] = ()
    fonts: tuple[FontLook, ...] = ()
    squares: tuple[SquareLook, ...] = ()
    encrypted: bool = False
    rebuilt: bool = False
    scripts: tuple[int | None, ...] = ()
    embedded_files: tuple[str, ...] = ()
    repeated: tuple[tuple[str, int], ...] = ()
    method: int = METHOD

    @property
    def has_text(self) -> bool:
        return any(page.text for page in self.pages)

    @property
    def complete(self) -> bool:
        """Whether every page was looked at to its end."""
        return not any(page.cut_short for page in self.pages)

    def as_dict(self) -> dict[str, Any]:
        return asdict(self)


def from_dict(values: dict[str, Any]) -> Inspection:
    """The inspection that as_dict wrote. Raises KeyError and TypeError for anything else."""
    return Inspection(
        pages=tuple(_page_look(page) for page in values["pages"]),
        layers=tuple(values["layers"]),
        drawn=tuple(values["drawn"]),
        fonts=tuple(FontLook(**font) for font in values["fonts"]),
        squares=tuple(SquareLook(**square) for square in values["squares"]),
        encrypted=values["encrypted"],
        rebuilt=values["rebuilt"],
        scripts=tuple(values["scripts"]),
        embedded_files=tuple(values["embedded_files"]),
        repeated=tuple((name, count) for name, count in values.get("repeated", ())),
        method=values["method"],
    )


def _page_look(values: dict[str, Any]) -> PageLook:
    layers = values.get("layers")
    return PageLook(**{**values, "layers": None if layers is None else tuple(layers)})


def opened(path: Path) -> Any:
    """The file at a path as a pikepdf document. Raises PdfError for one that nobody can read."""
    import pikepdf

    with path.open("rb") as file:
        if b"%PDF-" not in file.read(HEADER_WITHIN):
            raise PdfError("not_pdf")
    try:
        return pikepdf.open(path)
    except pikepdf.PasswordError:
        raise PdfError("encrypted") from None
    except Exception as error:
        raise PdfError("broken") from error


def pages_of(pdf: Any, most_pages: int) -> list[Any]:
    """The dictionaries of a document's pages. Raises PdfError."""
    try:
        pages = [page.obj for page in pdf.pages]
    except Exception as error:
        raise PdfError("broken") from error
    if len(pages) > most_pages:
        raise PdfError("too_many_pages")
    if not pages:
        raise PdfError("no_pages")
    return pages


def look(path: Path, most_pages: int = 2_000, told: Callable[[int, int], None] | None = None) -> Inspection:
    """What is in the file at this path. `told` hears which page of how many was looked at. Raises PdfError."""
    with opened(path) as pdf:
        pages = pages_of(pdf, most_pages)
        painter = Painter(Budget())
        looks, squares, fonts = [], list[SquareLook](), dict[tuple[str, bool], int | None]()
        drawn: Counter[str] = Counter()
        for number, page in enumerate(pages, start=1):
            drawing = painter.page(page)
            one, found = _page(page, number, drawing)
            looks.append(one)
            squares += found
            drawn.update(_layers_on(drawing))
            for font in drawing.fonts:
                fonts[font] = fonts.get(font) or number
            for font in _listed_fonts(page):
                fonts.setdefault(font, None)
            if told:
                told(number, len(pages))
        every = _quiet(lambda: list(_layers(pdf.Root)), [])
        layers = tuple(dict.fromkeys(every))
        return Inspection(
            pages=tuple(looks),
            layers=layers,
            drawn=tuple(layer for layer in layers if drawn[layer]),
            fonts=tuple(FontLook(name, embedded, page) for (name, embedded), page in fonts.items()),
            squares=_settled(squares),
            encrypted=bool(pdf.is_encrypted),
            rebuilt=any(word in str(warning) for warning in pdf.get_warnings() for word in ("damaged", "reconstruct")),
            scripts=tuple(_scripts(pdf, pages)),
            embedded_files=tuple(_quiet(lambda: list(_embedded(pdf, pages)), [])),
            repeated=tuple((name, times) for name, times in Counter(every).items() if times > 1),
        )


def _page(page: Any, number: int, drawing: Drawing) -> tuple[PageLook, list[SquareLook]]:
    sheet = sheet_of(page)
    lines = lines_of(drawing.letters)
    squares = [
        SquareLook(number, round(one.width_mm, 2), round(one.height_mm, 2), one.nominal_mm, one.named, one.labelled)
        for one in squares_of(drawing, lines)
    ]
    seen = PageLook(
        number=number,
        width_mm=round(sheet.width_mm, 2),
        height_mm=round(sheet.height_mm, 2),
        rotation=sheet.rotation,
        sized=sheet.said,
        text=bool(lines),
        version=version_in(lines),
        date=date_in(lines),
        cut_short=drawing.cut_short,
        layers=tuple(dict.fromkeys(_layers_on(drawing))),
        blank=not (drawing.traces or drawing.letters or drawing.pictures or drawing.cut_short),
    )
    return seen, squares


def _settled(squares: list[SquareLook]) -> tuple[SquareLook, ...]:
    """Where words name a test square anywhere, or give its length, squares without such words are something else."""
    named = [square for square in squares if square.named]
    return tuple(named or [square for square in squares if square.labelled] or squares)


def _layers_on(drawing: Drawing) -> Iterator[str]:
    layers = [trace.style.layer for trace in drawing.traces]
    layers += [letter.layer for letter in drawing.letters]
    layers += [one.layer for one in drawing.pictures]
    for layer in layers:
        if layer:
            yield from {layer, *layer.split(", ")}


def _layers(root: Any) -> Iterator[str]:
    content = root.get("/OCProperties")
    for group in content.get("/OCGs", []) if content is not None else []:
        yield str(group.get("/Name", ""))


def _listed_fonts(page: Any) -> list[tuple[str, bool]]:
    """The fonts of a page's resources and of its forms, used or not."""
    return _quiet(lambda: list(_fonts_in(inherited(page, "/Resources"), set(), 0)), [])


def _fonts_in(resources: Any, seen: set[Any], deep: int) -> Iterator[tuple[str, bool]]:
    if resources is None or deep > _DEEP:
        return
    for font in dict(resources.get("/Font", {})).values():
        yield plain_name(font), is_embedded(font)
    for thing in dict(resources.get("/XObject", {})).values():
        if thing.objgen not in seen and str(thing.get("/Subtype")) == "/Form":
            seen.add(thing.objgen)
            yield from _fonts_in(thing.get("/Resources"), seen, deep + 1)


def _scripts(pdf: Any, pages: list[Any]) -> Iterator[int | None]:
    """The pages on which something would run; None for the file as a whole."""
    root = pdf.Root
    if (
        _quiet(lambda: _acts(root.get("/OpenAction")), False)
        or "/AA" in root
        or _quiet(lambda: "/JavaScript" in root.get("/Names", {}), False)
        or _quiet(lambda: any(map(_runs, _below(root.get("/AcroForm", {}).get("/Fields", []), "/Kids"))), False)
        or _quiet(lambda: any(map(_runs, _below([root.get("/Outlines")], "/First", "/Next"))), False)
    ):
        yield None
    for number, page in enumerate(pages, start=1):
        if "/AA" in page or _quiet(partial(_notes_run, page), False):
            yield number


def _below(things: Any, *ways: str) -> Iterator[Any]:
    """Things and all that hang below them by these keys: fields of a form, bookmarks."""
    waiting, seen = list(things), 0
    while waiting and seen < _MOST_NAMES:
        thing = waiting.pop()
        if not has_keys(thing):
            continue
        seen += 1
        yield thing
        for below in (thing[way] for way in ways if way in thing):
            waiting.extend(list(below) if is_array(below) else [below])


def _notes_run(page: Any) -> bool:
    return any(_runs(note) for note in page.get("/Annots", []))


def _runs(note: Any) -> bool:
    return "/AA" in note or _acts(note.get("/A"))


def _acts(action: Any) -> bool:
    """Whether an action, or one that follows it, runs a script or starts a program."""
    for _ in range(_DEEP):
        if not has_keys(action):
            return False
        if str(action.get("/S")) in _SCRIPTED or "/JS" in action:
            return True
        action = action.get("/Next")
    return False


def _embedded(pdf: Any, pages: list[Any]) -> Iterator[str]:
    """The names of files that travel inside."""
    tree = pdf.Root.get("/Names", {}).get("/EmbeddedFiles")
    yield from _names(tree, 0)
    for page in pages:
        for note in page.get("/Annots", []):
            if str(note.get("/Subtype")) == "/FileAttachment":
                yield str(note.get("/FS", {}).get("/F", note.get("/Contents", "")))


def _names(node: Any, deep: int) -> Iterator[str]:
    if node is None or deep > _DEEP:
        return
    for i, key in enumerate(list(node.get("/Names", []))[:_MOST_NAMES]):
        if i % 2 == 0:
            yield str(key)
    for kid in list(node.get("/Kids", []))[:_MOST_NAMES]:
        yield from _names(kid, deep + 1)


def _quiet(read: Callable[[], Any], otherwise: Any) -> Any:
    """What a part of the file says; a part that cannot be read says nothing, and the rest still counts."""
    try:
        return read()
    except Exception:
        return otherwise
